#!/usr/bin/env python3
"""Stops every command that writes, at random moments, by INT, TERM and KILL in turn.

    tests/outside/stopped.py target/release/panfold [RUNS] [SEED]

After each run the folder holds what was there before or what the command writes, file by file: nothing half-written. After the next
whole run nothing else lies there. A pack is the old one whole or the new one whole; of one that was killed within the milliseconds in
which it is put in place the list says that it is not whole, and where there is an index all else is of one pack.
"""

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time

PROGRAM = os.path.abspath(sys.argv[1])
RUNS = int(sys.argv[2]) if len(sys.argv) > 2 else 100
CHANCE = random.Random(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
DEMO = os.path.join(os.path.dirname(os.path.abspath(__file__)), "../../arrangements")
TUNE = "sea-grape-road.tune"

# The command, and one that leaves something else in its place before, if there is one.
COMMANDS = [
    (["render", TUNE, "--midi", "a.mid"], ["render", TUNE, "--midi", "a.mid", "--part", "lead"]),
    (["render", TUNE, "--sound", "a.flac", "--section", "chorus"], ["render", TUNE, "--sound", "a.flac", "--part", "iron"]),
    (["drill", TUNE, "--part", "lead", "-o", "a.mid"], None),
    (["export", TUNE, "-o", "a.mxl"], ["export", TUNE, "-o", "a.mxl", "--part", "lead"]),
    (["page", TUNE, "--part", "lead", "-o", "a.html"], None),
    (["sheet", TUNE, "-o", "a.svg"], None),
    (["cover", "lead-c", TUNE, "--picture", "a.svg"], None),
    (["patterns", "soca-snare", "--sound", "a.wav"], None),
    (["import", "in.mid", "-o", "a.tune", "--replace"], None),
    (["tidy", "untidy.tune"], None),
    (["fit", "low.tune", "--write"], None),
    (["start", "new"], None),
    (["pack", "first/first-tune.tune", "-o", "out"], ["pack", "first/first-tune.tune", "-o", "out", "--format", "wav"]),
]


def ask(folder, command):
    quiet = subprocess.DEVNULL
    return subprocess.Popen([PROGRAM, *command], cwd=folder, stdin=quiet, stdout=quiet, stderr=quiet)


def held(folder):
    """All files below a folder with what they hold, without what is unfinished."""
    files = {}
    for at, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if not name.endswith(".unfinished")]
        for name in names:
            if not name.endswith(".unfinished"):
                with open(os.path.join(at, name), "rb") as file:
                    files[os.path.relpath(os.path.join(at, name), folder)] = file.read()
    return files


def unfinished(folder):
    return [name for _, folders, names in os.walk(folder) for name in folders + names if name.endswith(".unfinished")]


def prepared():
    folder = tempfile.mkdtemp()
    shutil.copytree(DEMO, folder, dirs_exist_ok=True)
    ask(folder, ["start", "first"]).wait()
    ask(folder, ["render", TUNE, "--midi", "in.mid"]).wait()
    with open(os.path.join(folder, TUNE)) as file:
        text = file.read()
    for name, changed in [("untidy.tune", text.replace("| ", "|   ")), ("low.tune", text.replace("D5", "D3"))]:
        with open(os.path.join(folder, name), "w") as file:
            file.write(changed)
    return folder


LIST = "out/pack.json"


def is_half_put(before, after, now, how):
    """Whether a killed pack was met while it was put in place."""
    unlisted = [{name: text for name, text in files.items() if name != LIST} for files in (before, after, now)]
    is_of_one = unlisted[2] in unlisted[:2]
    there = before.keys() | after.keys()
    says_so = how == signal.SIGKILL and now.keys() <= there and b'"whole": false' in now[LIST]
    return says_so and (is_of_one or "out/index.html" not in now)


def stopped(command, other):
    half = cut = 0
    folder = prepared()
    if other:
        ask(folder, other).wait()
    before = held(folder)
    begun = time.monotonic()
    assert ask(folder, command).wait() in (0, 1), command
    takes = time.monotonic() - begun
    after = held(folder)
    assert after != before, command
    for number in range(RUNS):
        shutil.rmtree(folder)
        folder = prepared()
        if other:
            ask(folder, other).wait()
        how = [signal.SIGINT, signal.SIGTERM, signal.SIGKILL][number % 3]
        process = ask(folder, command)
        time.sleep(CHANCE.uniform(0, takes))
        process.send_signal(how)
        cut += process.wait() < 0
        now = held(folder)
        if command[0] == "pack" and now not in (before, after):
            assert is_half_put(before, after, now, how), (command, how)
            half += 1
        for name, text in now.items():
            assert name == LIST or text in (before.get(name), after.get(name)), (command, how, name)
        assert how == signal.SIGKILL or not unfinished(folder), (command, how, unfinished(folder))
        # What `start` has finished it does not begin again.
        assert ask(folder, command).wait() in ((0, 2) if command[0] == "start" else (0, 1)), (command, how)
        assert held(folder) == after, (command, how)
        assert not unfinished(folder), (command, how, unfinished(folder))
    shutil.rmtree(folder)
    print(f"{' '.join(command)}: {RUNS} runs, {cut} of them cut off, {half} while a pack was put in place", flush=True)


for command, other in COMMANDS:
    stopped(command, other)
