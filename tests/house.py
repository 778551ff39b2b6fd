"""The house rules that a script can check: which folder may include which, file sizes, the top level.

Run without arguments from anywhere; prints what is broken and exits 1. Called by tests/run.
"""
import os
import pathlib
import re
import sys

TOP = pathlib.Path(__file__).resolve().parent.parent
TOP_LEVEL = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "daemon", "plugins", "client", "proto",
             "tests", "udev"}
LONGEST_FILE = 600  # lines

# Each room and what it may include of the project, itself aside. No cycle, no back edge.
MAY_INCLUDE = {
    "proto": set(),
    "daemon/runtime": {"proto"},
    "daemon/quantity": {"proto"},
    "daemon/formula": {"proto", "daemon/quantity"},
    "daemon/weighing": {"proto", "daemon/quantity"},
    "daemon/preserving": {"proto", "daemon/quantity"},
    "daemon/plan": {"proto", "daemon/quantity", "daemon/formula", "daemon/weighing", "daemon/preserving"},
    "daemon/figures": {"proto", "daemon/quantity", "daemon/formula", "daemon/weighing", "daemon/preserving",
                       "daemon/plan"},
    "daemon/batch": {"proto", "daemon/quantity", "daemon/formula", "daemon/weighing",
                     "daemon/preserving", "daemon/plan"},
    "daemon/record": {"proto"},
    "daemon/store": {"proto", "daemon/record"},
    "daemon/devices": {"proto", "daemon/quantity"},
    "daemon/review": {"proto", "daemon/quantity", "daemon/weighing"},
    "daemon/session": {"proto", "daemon/runtime", "daemon/quantity", "daemon/formula",
                       "daemon/weighing", "daemon/preserving", "daemon/plan", "daemon/batch", "daemon/record",
                       "daemon/store", "daemon/devices", "daemon/review"},
    "daemon/rpc": {"proto", "daemon/runtime", "daemon/session", "daemon/store"},
    "daemon": {"proto", "daemon/runtime", "daemon/session", "daemon/rpc", "daemon/store",
               "daemon/devices", "daemon/figures"},
    "client": {"proto"},
    "plugins/sdk": set(),
    "plugins/host": {"proto", "daemon/quantity", "plugins/sdk"},
}
# The purity of these rooms: no clock, no input or output, no sockets.
PURE = {"daemon/quantity", "daemon/formula", "daemon/weighing", "daemon/preserving", "daemon/plan",
        "daemon/figures", "daemon/batch", "daemon/record", "daemon/review"}
IMPURE_INCLUDES = {"atomic", "chrono", "condition_variable", "ctime", "fcntl.h", "filesystem",
                   "fstream", "future", "iostream", "mutex", "random", "sqlite3.h", "thread",
                   "time.h", "unistd.h"}
IMPURE_FOLDERS = ("sys/", "asio", "spdlog/")
# What programs may be linked with of the project's libraries.
MAY_LINK = {"client": {"maslin_proto"}, "plugins/host": {"maslin_proto", "maslin_quantity"}}


def room_of(path: str) -> str:
    parts = path.split("/")
    if parts[0] == "daemon":
        return "/".join(parts[:2]) if len(parts) > 2 else "daemon"
    if parts[0] == "plugins" and parts[1] not in ("sdk", "host"):
        return "plugins/*"
    return "/".join(parts[:2]) if parts[0] == "plugins" else parts[0]


def sources() -> list[str]:
    """Every file of the project by its path from the top; what a build or a tool left aside is not looked at."""
    found = []
    for folder, below, names in os.walk(TOP):
        here = pathlib.Path(folder).relative_to(TOP)
        below[:] = [b for b in below if not b.startswith(".") and b != "__pycache__"
                    and not (here == pathlib.Path(".") and b.startswith("build"))]
        found += [str(here / name) for name in names]
    return sorted(found)


def linked() -> list[str]:
    """Programs that are linked with a library they may not know."""
    broken = []
    for room, allowed in MAY_LINK.items():
        text = (TOP / room / "CMakeLists.txt").read_text()
        for library in sorted(set(re.findall(r"maslin_[a-z]+", text))):
            known = (TOP / "daemon" / library[len("maslin_"):]).is_dir() or library == "maslin_proto"
            if known and library not in allowed:
                broken.append(f"{room}/CMakeLists.txt: {room} may not be linked with {library}")
    return broken


def main() -> int:
    files = sources()
    broken = linked()
    for top in sorted({f.split("/")[0] for f in files}):
        if top not in TOP_LEVEL and not top.startswith("."):
            broken.append(f"{top}: does not belong at the top level")
    for name in files:
        if not re.search(r"\.(c|h|cpp|hpp|py|sh|cmake)$", name):
            continue
        text = (TOP / name).read_text()
        lines = text.count("\n")
        if lines > LONGEST_FILE:
            broken.append(f"{name}: {lines} lines, more than {LONGEST_FILE}; split it by subject")
        if not re.search(r"\.(c|h|cpp|hpp)$", name) or name.startswith("tests/"):
            continue
        room = room_of(name)
        own = "/".join(name.split("/")[:2]) if room == "plugins/*" else room
        allowed = {"plugins/sdk"} if room == "plugins/*" else MAY_INCLUDE.get(room)
        if allowed is None:
            broken.append(f"{name}: its room is not in tests/house.py")
            continue
        for included in re.findall(r'#include "([^"]+)"', text):
            target = included
            if "/" not in included:
                continue  # a neighbour in the same folder
            target = room_of(included)
            if target == "plugins/*":
                target = "/".join(included.split("/")[:2])
            if target != own and target not in allowed:
                broken.append(f"{name}: includes {included}, {own} may not use {target}")
        if room in PURE:
            for included in re.findall(r"#include <([^>]+)>", text):
                if included in IMPURE_INCLUDES or included.startswith(IMPURE_FOLDERS):
                    broken.append(f"{name}: includes <{included}>, {room} is pure")
    print("\n".join(broken) if broken else f"{len(files)} files in order")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
