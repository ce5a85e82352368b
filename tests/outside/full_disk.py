#!/usr/bin/env python3
"""Packs onto a disk that is full after every 64 KB of the way: the old pack stays whole, or the new one is whole. Where the pack is refused
before it is begun, it would not have had room, or little more: what it takes is reckoned within a third.

    sudo tests/outside/full_disk.py target/release/panfold [STEP_IN_KB]

Needs to be root and Linux: the disks are file systems in memory.
"""

import os
import subprocess
import sys
import tempfile
import time

PROGRAM = os.path.abspath(sys.argv[1])
STEP = int(sys.argv[2]) if len(sys.argv) > 2 else 64


def ask(folder, command):
    return subprocess.run([PROGRAM, *command], cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)


def held(folder):
    files = {}
    for at, _, names in os.walk(folder):
        for name in names:
            with open(os.path.join(at, name), "rb") as file:
                files[os.path.relpath(os.path.join(at, name), folder)] = file.read()
    return files


tunes = tempfile.mkdtemp()
assert ask(tunes, ["start", "."]).returncode == 0
old, new = (["pack", "first-tune.tune", "-o", "disk/out", "--format", form] for form in ("wav", "mp3"))
os.mkdir(os.path.join(tunes, "disk"))
disk, whole = os.path.join(tunes, "disk"), {}
for name, command in (("old", old), ("new", new)):
    assert ask(tunes, command).returncode == 0
    whole[name] = held(disk)
    subprocess.run(["rm", "-r", os.path.join(disk, "out")], check=True)
size = {name: sum(len(text) + 8192 for text in files.values()) // 1024 for name, files in whole.items()}


def fill(room):
    """Leaves so much free, whatever the file system takes for itself."""
    state = os.statvfs(disk)
    more = state.f_bavail * state.f_frsize - room * 1024
    if more > 0:
        with open(os.path.join(disk, "filler"), "wb") as file:
            file.write(b"\0" * more)


refused = failed = done = 0
# A disk that is too full when it begins is found then; one that others fill meanwhile is full on the way.
for room, late in [(room, late) for room in range(0, size["new"] * 4 // 3 + 4 * STEP, STEP) for late in (False, True)]:
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size['old'] * 3 // 2 + size['new'] + room}k", "none", disk], check=True)
    try:
        assert ask(tunes, old).returncode == 0
        before = held(disk)
        if not late:
            fill(room)
        run = subprocess.Popen([PROGRAM, *new], cwd=tunes, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        told = run.stderr.readline()
        if late:
            time.sleep(0.05)
            fill(room)
        told += run.communicate()[1]
        os.path.exists(os.path.join(disk, "filler")) and os.remove(os.path.join(disk, "filler"))
        now = held(disk)
        assert now == (whole["new"] if run.returncode == 0 else before), (room, run.returncode, told)
        is_refused = run.returncode == 2 and "pack takes about" in " ".join(told.split())
        assert run.returncode == 0 or is_refused or "disk is full" in " ".join(told.split()), (room, told)
        refused, failed = refused + is_refused, failed + (run.returncode != 0 and not is_refused)
        done += run.returncode == 0
    finally:
        subprocess.run(["umount", disk], check=True)
assert refused and failed and done
print(f"{refused} disks were found too full before it began, {failed} were full on the way and kept the old pack whole, {done} took the new one whole")
