/* The binary interface between a maslin plugin and the process that runs it (plugins/host). A
 * plugin is a shared object that exports one symbol, `maslin_plugin_entry`. Plain C11, clean as
 * C++20; C++ authors will rather use plugin.hpp beside it.
 *
 * Rules for all of it. Threads: `run` is called once, on one thread, and every host function is
 * called from that same thread, only while `run` lasts. Blocking: a plugin blocks only in `wait`;
 * that is also its sign of life, and five seconds without one end the process. Ownership: whatever
 * is passed to the host is copied before the call returns; what the host hands out lives as long as
 * its comment says. Text is UTF-8 and ends with a zero byte. Times are nanoseconds on the clock of
 * `now`. Every struct begins with version and size; structs grow at their end only, all else comes
 * as a named extension. */
#ifndef MASLIN_PLUGIN_H
#define MASLIN_PLUGIN_H
#include <stddef.h>
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

#define MASLIN_ABI_VERSION 1
#define MASLIN_HEAD(type) \
  MASLIN_ABI_VERSION, (uint16_t)sizeof(type) /* first two members of a struct */
#define MASLIN_FOREVER INT64_MAX /* for `wait`: until a cue, a stop or the file descriptor */

enum { MASLIN_MASS = 1, MASLIN_TEMPERATURE = 2, MASLIN_PRESSURE = 3, MASLIN_PRESS = 4 };
/* A reading of PRESS is one press of a pedal or button, unless its digits are 0. */
enum { /* units as the device sends them; masses in the order of the USB HID usage page 0x8D */
       MASLIN_NO_UNIT = 0,
       MASLIN_MG = 1,
       MASLIN_G = 2,
       MASLIN_KG = 3,
       MASLIN_CT = 4,
       MASLIN_TAEL = 5,
       MASLIN_GR = 6,
       MASLIN_DWT = 7,
       MASLIN_T = 8,
       MASLIN_TON = 9,
       MASLIN_OZT = 10,
       MASLIN_OZ = 11,
       MASLIN_LB = 12,
       MASLIN_KELVIN = 20,
       MASLIN_CELSIUS = 21,
       MASLIN_FAHRENHEIT = 22,
       MASLIN_PASCAL = 30,
       MASLIN_HECTOPASCAL = 31,
       MASLIN_COUNT = 40
};
enum {                         /* state bits of a reading, as the device reports them */
       MASLIN_STEADY = 1 << 0, /* leave both out where the device has no mark for it */
       MASLIN_MOVING = 1 << 1, /* with STEADY: moving, never settled */
       MASLIN_ZERO = 1 << 2,
       MASLIN_OVER = 1 << 3,
       MASLIN_UNDER = 1 << 4,
       MASLIN_NEEDS_CALIBRATION = 1 << 5,
       MASLIN_NEEDS_ZERO = 1 << 6,
       MASLIN_FAULT = 1 << 7,
       MASLIN_FAULT_OPEN = 1 << 8,
       MASLIN_FAULT_SHORT = 1 << 9,
       MASLIN_FAULT_CRC = 1 << 10,
       MASLIN_FAULT_POWER_ON = 1 << 11,
       MASLIN_FAULT_RANGE = 1 << 12
};
enum { MASLIN_WOKE_TIME = 1, MASLIN_WOKE_CUE = 2, MASLIN_WOKE_STOP = 4, MASLIN_WOKE_FD = 8 };
enum { MASLIN_LOG_DEBUG = 0, MASLIN_LOG_INFO = 1, MASLIN_LOG_WARNING = 2, MASLIN_LOG_ERROR = 3 };

/* One value = digits * 10^exponent in `unit`, exactly as the device sent it; never a rounded
 * double. */
typedef struct maslin_reading {
  uint16_t version, size;
  uint16_t unit, state;
  int64_t at_ns; /* when it was measured; 0: now */
  int64_t digits;
  int8_t exponent;
  uint8_t quantity;
} maslin_reading;

/* What a device says of itself. Texts may be NULL. It is known by vendor, product and serial;
 * without a serial by vendor, product and port; one of the two it must have. Interval and capacity
 * are digits * 10^exponent in `unit`, 0 where not known. period_ns: usual time between readings,
 * after three of which it is silent; only_on_change (1) where it has none, as a press never has.
 * Refused: a unit that is none of the quantity, no serial and no port, neither period nor
 * only_on_change, a second one like one that has not left. */
typedef struct maslin_device {
  uint16_t version, size;
  uint16_t unit;
  uint8_t quantity;
  uint8_t only_on_change;
  const char *vendor, *product, *serial, *port, *label;
  int64_t interval_digits, capacity_digits;
  int8_t interval_exponent, capacity_exponent;
  int64_t period_ns;
} maslin_device;

/* The host as a plugin sees it; lives as long as `run`. `self` is passed back as it was given. */
typedef struct maslin_host maslin_host;
struct maslin_host {
  uint16_t version, size;
  /* A device is there. Returns its number, 0 when refused (the log says why). */
  uint32_t (*arrived)(const maslin_host* self, const maslin_device* device);
  /* `count` readings of one device in time order; for a device that has arrived and not left. A
   * reading of another quantity, or in a unit that is none of it, becomes a fault. */
  void (*readings)(const maslin_host* self, uint32_t device, const maslin_reading* first,
                   uint32_t count);
  /* The device is gone; its number is not used again. `why` may be NULL. */
  void (*left)(const maslin_host* self, uint32_t device, const char* why);
  void (*log)(const maslin_host* self, int level, const char* text);
  /* CLOCK_BOOTTIME, or simulated time for a plugin with the `pace` extension. */
  int64_t (*now)(const maslin_host* self);
  /* Blocks until the time is reached, a cue can be fetched, the plugin is to stop, or `fd` (-1:
   * none) can be read or has failed. Returns the MASLIN_WOKE_ bits that hold; after STOP return
   * from `run` at once. A time that is past returns without blocking. In simulated time `fd` is not
   * watched. */
  uint32_t (*wait)(const maslin_host* self, int64_t until_ns, int fd);
  /* A host extension by name (`cues`, `settings`), NULL where this host has none; lives as `self`.
   */
  const void* (*extension)(const maslin_host* self, const char* name);
};

/* Host extension `cues`: asking for it means that cues are sent from then on. `next` gives 1 and
 * fills `out` as far as its size goes, or 0 when none is left. `entry` is the JSON text of the cue
 * in the batch's record, the rest is taken from it: which cue of the catalogue (`stop`, `good`,
 * ...), how urgent (4 now ... 1 quietly), what it says to the cook, of which ingredient and how
 * much (0: none). `quietly` is 1 where it is quiet hours or the cook wants light and text only:
 * make no sound then, whatever the urgency says. Texts live until the next call of `next` or
 * `wait`. */
typedef struct maslin_cue {
  uint16_t version, size;
  int32_t urgency;
  int64_t at_ns, amount_ug;
  const char *entry, *id, *says, *ingredient;
  int32_t quietly;
} maslin_cue;
typedef struct maslin_cues {
  uint16_t version, size;
  int (*next)(const maslin_host* host, maslin_cue* out);
} maslin_cues;

/* Host extension `settings`: ARGUMENT of `--plugin NAME=ARGUMENT`, "" without one; lives as the
 * host. */
typedef struct maslin_settings {
  uint16_t version, size;
  const char* argument;
} maslin_settings;

/* Plugin extension `decode`: bytes of one device report to readings, pure, from any thread, before
 * or without `run`. Writes at most `room` readings and returns how many, or -1 with the reason in
 * `why`
 * (`why_size` bytes, ended with zero). */
typedef struct maslin_decode {
  uint16_t version, size;
  int (*decode)(const uint8_t* descriptor, size_t descriptor_size, const uint8_t* report,
                size_t report_size, maslin_reading* out, uint32_t room, char* why, size_t why_size);
} maslin_decode;

/* Plugin extension `pace`: takes part in simulated time (whole milliseconds), which stands still
 * while the plugin works. After a cue it does nothing earlier than shortest_reaction_ns after the
 * cue's time. */
typedef struct maslin_pace {
  uint16_t version, size;
  int64_t shortest_reaction_ns;
} maslin_pace;

/* The plugin. `run` returns 0 when it was told to stop or has nothing left to do (it is then not
 * started again), anything else after a failure (it is started again after a pause); its devices
 * have left by that. `extension` gives `decode` or `pace` by name or NULL, at any time; it may
 * itself be NULL. */
typedef struct maslin_plugin {
  uint16_t version, size;
  const char* name; /* that of its file without .so, else it is not run: a copied plugin that
                       forgot its own name would be logged under another's */
  int (*run)(const maslin_host* host);
  const void* (*extension)(const char* name);
} maslin_plugin;

#define MASLIN_EXPORT __attribute__((visibility("default")))
extern MASLIN_EXPORT const maslin_plugin maslin_plugin_entry;

#ifdef __cplusplus
}
#endif
#endif
