"""The house rules that a script can check: which folder may include which, file sizes, the top level.

Run without arguments from anywhere; prints what is broken and exits 1. Called by tests/run.
"""
import pathlib
import re
import subprocess
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
    "daemon/batch": {"proto", "daemon/quantity", "daemon/formula", "daemon/weighing",
                     "daemon/preserving", "daemon/plan"},
    "daemon/record": {"proto"},
    "daemon/store": {"proto", "daemon/record"},
    "daemon/devices": {"proto", "daemon/quantity"},
    "daemon/review": {"proto", "daemon/quantity"},
    "daemon/session": {"proto", "daemon/runtime", "daemon/quantity", "daemon/formula",
                       "daemon/preserving", "daemon/plan", "daemon/batch", "daemon/record",
                       "daemon/store", "daemon/devices", "daemon/review"},
    "daemon/rpc": {"proto", "daemon/runtime", "daemon/session", "daemon/store"},
    "daemon": {"proto", "daemon/runtime", "daemon/session", "daemon/rpc", "daemon/store",
               "daemon/devices"},
    "client": {"proto"},
    "plugins/sdk": set(),
    "plugins/host": {"proto", "daemon/quantity", "plugins/sdk"},
}
# The purity of these rooms: no clock, no input or output, no sockets.
PURE = {"daemon/quantity", "daemon/formula", "daemon/weighing", "daemon/preserving", "daemon/plan",
        "daemon/batch", "daemon/record", "daemon/review"}
IMPURE_INCLUDES = {"chrono", "fstream", "iostream", "filesystem", "thread", "mutex", "sys/socket.h",
                   "asio.hpp", "sqlite3.h", "random"}


def room_of(path: str) -> str:
    parts = path.split("/")
    if parts[0] == "daemon":
        return "/".join(parts[:2]) if len(parts) > 2 else "daemon"
    if parts[0] == "plugins" and parts[1] not in ("sdk", "host"):
        return "plugins/*"
    return "/".join(parts[:2]) if parts[0] == "plugins" else parts[0]


def main() -> int:
    listed = subprocess.run(["git", "ls-files"], cwd=TOP, capture_output=True, text=True, check=True)
    files = [f for f in listed.stdout.split("\n") if f and (TOP / f).exists()]
    broken = []
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
                if included in IMPURE_INCLUDES:
                    broken.append(f"{name}: includes <{included}>, {room} is pure")
    print("\n".join(broken) if broken else f"{len(files)} files in order")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
