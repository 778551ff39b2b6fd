/* The template in C11, for whoever writes a plugin in C or binds another language to it: a scale
 * whose whole grams stand in a file. plugins/README.md points here. */
#include <inttypes.h>
#include <stdio.h>

#include "plugins/sdk/maslin_plugin.h"

static const int64_t half_a_second = 500000000; /* ns */

static int run(const maslin_host* host) {
  const maslin_settings* settings = host->extension(host, "settings");
  const maslin_device about = {MASLIN_HEAD(maslin_device), .unit = MASLIN_G,
                               .quantity = MASLIN_MASS,    .vendor = "template-c",
                               .product = "file",          .serial = settings->argument,
                               .period_ns = half_a_second};
  const uint32_t scale = host->arrived(host, &about);
  if (scale == 0) return 1; /* the host has logged why */
  do {
    maslin_reading one = {MASLIN_HEAD(maslin_reading), .unit = MASLIN_G, .state = MASLIN_FAULT,
                          .quantity = MASLIN_MASS};
    FILE* file = fopen(settings->argument, "r");
    char end = 0; /* a number without its line end may be half a number */
    if (file != NULL && fscanf(file, "%" SCNd64 "%c", &one.digits, &end) == 2 && end == '\n')
      one.state = MASLIN_STEADY;
    if (file != NULL) fclose(file);
    host->readings(host, scale, &one, 1);
  } while (!(host->wait(host, host->now(host) + half_a_second, -1) & MASLIN_WOKE_STOP));
  host->left(host, scale, NULL);
  return 0;
}

const maslin_plugin maslin_plugin_entry = {MASLIN_HEAD(maslin_plugin), "template-c", run, NULL};
