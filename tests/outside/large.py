#!/usr/bin/env python3
"""Feeds the program files of up to ten megabytes of every kind that it reads, well-formed or not.

    tests/outside/large.py target/release/panfold [WORD...]

Each is answered, by code 0, 1 or 2, with at most 600 MB of memory and 5 MB of output. Two seconds on one core are promised; as the
machine may be busy, a run fails from four on (of its own time, not of the clock's). WORD: only inputs whose name has it.
"""

import io
import json
import os
import random
import subprocess
import sys
import tempfile
import zipfile

PROGRAM = os.path.abspath(sys.argv[1])
WORDS = sys.argv[2:]
# Just under what is read of each kind (`DEVELOPERS.md`, limits), and far above.
SIZE = 10_000_000
READ = {"tune": 2_000_000, "band.toml": 2_000_000, "pan.toml": 2_000_000, "mid": 4_000_000}
MEMORY, OUTPUT, PROMISED, SECONDS = 600, 5_000_000, 2.0, 4.0
CHANCE = random.Random(1)
BAND = open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "data/bands/five.toml"), encoding="utf-8").read()

HEAD = "title T\nband band.toml\ntempo 100\nmeter 4/4\npart lead on lead\npart iron on iron\n"
ROW = " lead | C5 . E5 . | G5 - - E5 | D5 . F5 . | C5 ~ ~ ~ |\n iron | x.xx x.xx x.xx x.xx | % | % | % |\n"


def fill(text, head="", tail="", most=10**9):
    """A text over and over, up to a size."""
    size = min(SIZE, most)
    room = size - len(head) - len(tail)
    return head + text * (room // len(text)) + tail


def each(line, head="", count=10**9, most=10**9):
    """Lines that are made from their number, up to a size."""
    size = min(SIZE, most)
    out, length = [head], len(head)
    for number in range(count):
        made = line(number)
        length += len(made)
        if length > size:
            break
        out.append(made)
    return "".join(out)


def noise():
    return CHANCE.randbytes(SIZE)


def letters():
    return "".join(CHANCE.choices("abcC5#b.-~|%:()[]/+ \n\t'\"&x123", k=SIZE))


def tunes():
    yield "noise", noise()
    yield "letters", HEAD + letters()
    yield "unreadable-lines", fill("xyzzy plugh " * 4 + "ok\n", HEAD)
    yield "short-unreadable-lines", fill("x\n", HEAD)
    yield "one-line", HEAD + "x" * SIZE
    yield "one-row", fill("C5 ", HEAD + "section a\n lead | ")
    yield "bars", fill("| ", HEAD + "section a\n lead ")
    yield "bars-of-notes", fill("| C5 D5 . E5 ", HEAD + "section a\n lead ")
    yield "holds", fill("~ ", HEAD + "section a\n lead | C5 ")
    yield "slashes", fill("C5/", HEAD + "section a\n lead | ")
    yield "pluses", fill("C5+", HEAD + "section a\n lead | ")
    yield "brackets", fill("(", HEAD + "section a\n lead | ")
    yield "comments", fill("# " + "c" * 60 + "\n", HEAD + "section a\n lead | C5 |\n")
    yield "empty-lines", fill("\n", HEAD + "section a\n lead | C5 |\n")
    yield "carriage-returns", fill(" lead | C5 |\r", HEAD.replace("\n", "\r") + "section a\r")
    yield "rows-again", fill(ROW, HEAD + "section a\n")
    yield "sections", each(lambda n: f"section s{n}\n{ROW}", HEAD)
    yield "sections-in-limits", each(lambda n: f"section s{n}\n" + ROW * 40, HEAD, 900)
    yield "long-form", fill("a ", HEAD + "form ", "\nsection a\n" + ROW)
    yield "form-in-limits", HEAD + "form " + "a " * 9_000 + "\nsection a\n" + ROW * 4
    yield "patterns", each(lambda n: f"pattern p{n} | x . |\n", HEAD)
    yield "parts", each(lambda n: f"part p{n} on lead\n", HEAD)
    yield "parts-in-limits", each(lambda n: f"part p{n} on lead\n", HEAD, 250) + "section a\n" + each(
        lambda n: f" p{n % 250} " + "| C5 . E5 . " * 150 + "|\n", count=250 * 15
    )
    yield "one-bar-each", fill(" lead | C5 . E5 . |\n\n", HEAD + "section a\n")
    yield "chords", fill("| Cmaj7 F#m7b5 ", HEAD + "section a\n chords ", "|\n lead | C5 |\n")
    yield "words", fill("| some words here ", HEAD + "section a\n words ", "|\n lead | C5 |\n")
    yield "title", HEAD.replace("title T", "title " + "t" * SIZE) + "section a\n" + ROW
    yield "no-such-pan", each(lambda n: f"part lead{n} on leed{n}\n", HEAD)
    yield "slips", fill(" lead | C5 H5 C55 zz | x x | C5 . . |\n", HEAD + "section a\n", most=8_000_000)
    yield "with", fill(" lead = with iron\n", HEAD + "section a\n")
    yield "nuls", fill("\0", HEAD)
    yield "marks-of-direction", fill("\u202e\u2066", HEAD, most=3_000_000)


def bands():
    pan = '[[pan]]\nname = "P{}"\nlayout = "lead-c"\n'
    head = 'name = "B"\n'
    yield "noise", noise()
    yield "letters", letters()
    yield "pans", each(lambda n: pan.format(n), head)
    yield "pans-in-limits", each(lambda n: pan.format(n), head, 499) + each(
        lambda n: f'[[player]]\nname = "N{n}"\nplays = ["lead"]\n', count=499
    )
    yield "without", each(lambda n: f'"H{n}", ', head + pan.format(0) + "without = [") + "]\n"
    yield "keys", each(lambda n: f"k{n} = 1\n", head)
    yield "arrays", head + "a = " + "[" * SIZE
    yield "tables", head + "a = " + "{a=" * (SIZE // 3)
    yield "dotted", head + "a." * (SIZE // 2) + "a = 1\n"
    yield "heads", each(lambda n: f"[t{n}]\n", head)
    yield "string", head + 'title = "' + "s" * SIZE + '"\n'
    yield "open-string", head + 'title = """' + "s\n" * (SIZE // 2)
    yield "numbers", head + "a = [" + "1," * (SIZE // 2) + "]\n"
    yield "comments", fill("# a comment\n", head + pan.format(0))
    yield "own-notes", head + '[[pan]]\nname = "P"\nkind = "lead"\nnotes = [' + '"C5",' * (SIZE // 5) + "]\n"


def pans():
    head = 'kind = "lead"\nname = "Own"\n'
    yield "drums", each(lambda n: f'[[drum]]\nouter = ["C5", "D{n % 9}"]\n', head)
    yield "notes", head + "[[drum]]\nouter = [" + '"C5",' * (SIZE // 5) + "]\n"
    yield "noise", noise()
    yield "keys", each(lambda n: f"k{n} = 1\n", head)


def length(number):
    out = [number & 127]
    while number := number >> 7:
        out.insert(0, number & 127 | 128)
    return bytes(out)


def track(body):
    return b"MTrk" + len(body).to_bytes(4, "big") + body


def midi_head(kind, tracks, division=480):
    return b"MThd\0\0\0\6" + b"".join(part.to_bytes(2, "big") for part in (kind, tracks, division))


def midis():
    end = b"\0\xff\x2f\0"
    note = b"\x60\x90\x48\x60\x60\x48\0"
    yield "noise", midi_head(1, 1) + noise()
    yield "noise-in-a-track", midi_head(1, 1) + track(noise())
    yield "notes", midi_head(0, 1) + track(note * (SIZE // 7) + end)
    yield "running-notes", midi_head(0, 1) + track(b"\0\x90\x48\x60" + b"\x60\x48\0\0\x48\x60" * (SIZE // 6) + end)
    yield "notes-at-once", midi_head(0, 1) + track(b"\0\x90\x48\x60" + b"\0\x48\x60" * (SIZE // 3) + end)
    yield "tracks", midi_head(1, 65535) + track(note * 20 + end) * 60_000
    yield "empty-tracks", midi_head(1, 65535) + track(end) * 65_535
    yield "tempos", midi_head(0, 1) + track(b"\x01\xff\x51\x03\x07\xa1\x20" * (SIZE // 7) + end)
    yield "meters", midi_head(0, 1) + track(b"\x01\xff\x58\x04\x03\x02\x18\x08" * (SIZE // 8) + end)
    yield "markers", midi_head(0, 1) + track(b"\x60\xff\x06\x01A\0\x90\x48\x60\x60\x48\0" * (SIZE // 12) + end)
    yield "long-text", midi_head(0, 1) + track(b"\0\xff\x03" + length(SIZE) + b"t" * SIZE + note + end)
    yield "far", midi_head(0, 1) + track(b"\xff\xff\xff\x7f\x90\x48\x60\xff\xff\xff\x7f\x48\0" * (SIZE // 14) + end)
    yield "wheels", midi_head(0, 1) + track(note + b"\1\xe0\0\x41" * (SIZE // 4) + end)
    yield "programs", midi_head(0, 1) + track((b"\0\xc0\x0c" + note) * (SIZE // 10) + end)
    yield "cut", (midi_head(0, 1) + track(note * (SIZE // 7) + end))[: SIZE // 2 + 3]
    lines = b"".join(bytes([4 + n % 7, 0x90 + n % 9, 40 + n * 7 % 50, 96, 60, 40 + n * 7 % 50, 0]) for n in range(SIZE // 7))
    yield "lines", midi_head(0, 1) + track(lines + end)


NOTE = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type></note>"
FIRST = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"


def score(body, parts=1, before=""):
    listed = "".join(f'<score-part id="P{n}"><part-name>N{n}</part-name></score-part>' for n in range(parts))
    held = body if body.startswith("<part ") else f'<part id="P0">{body}</part>'
    return f'<?xml version="1.0"?>{before}<score-partwise version="4.0"><part-list>{listed}</part-list>{held}</score-partwise>'


def scores():
    measure = lambda n: f'<measure number="{n}">{FIRST if n == 0 else ""}{NOTE * 4}</measure>'
    yield "measures", score(each(measure))
    yield "measures-in-limits", score(each(measure, count=19_900))
    yield "notes-in-a-measure", score(f"<measure>{FIRST}{NOTE * (SIZE // len(NOTE))}</measure>")
    yield "chord", score(f"<measure>{FIRST}{NOTE.replace('<note>', '<note><chord/>') * 80_000}</measure>")
    part = lambda n: f'<part id="P{n}">' + "".join(map(measure, range(70))) + "</part>"
    yield "parts", score("".join(map(part, range(250))), 250)
    yield "names", score(measure(0), 80_000)
    yield "deep", "<a>" * (SIZE // 3)
    yield "deep-note", score("<measure>" + "<note>" * 1_000_000)
    yield "attributes", "<score-partwise " + each(lambda n: f'a{n}="1" ', most=5_000_000) + "/>"
    yield "entities", '<!DOCTYPE l [<!ENTITY a "aaaaaaaaaa">' + "".join(
        f'<!ENTITY {chr(98 + n)} "{("&" + chr(97 + n) + ";") * 10}">' for n in range(12)
    ) + "]><score-partwise><work><work-title>&m;</work-title></work></score-partwise>"
    yield "comment", score(measure(0), before=f"<!--{'c' * SIZE}-->")
    yield "title", score(measure(0)).replace("<part-list>", f"<work><work-title>{'t' * SIZE}</work-title></work><part-list>")
    yield "words", score(
        f"<measure>{FIRST}{'<direction><direction-type><words>go back</words></direction-type></direction>' * 120_000}{NOTE}</measure>"
    )
    yield "chord-names", score(
        f"<measure>{FIRST}{'<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>' * 120_000}{NOTE}</measure>"
    )
    yield "repeats", score(each(lambda n: '<measure><barline><repeat direction="forward"/></barline>' + NOTE * 4
        + '<barline><repeat direction="backward"/></barline></measure>', count=15_000))
    yield "backups", score(f"<measure>{FIRST}{(NOTE + '<backup><duration>1</duration></backup>') * 60_000}</measure>")
    yield "noise", noise()
    yield "letters", "<" + letters()


def packed(text):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("META-INF/container.xml", '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>')
        file.writestr("a.xml", text)
    return out.getvalue()


def packed_scores():
    yield "bomb", packed(b"\0" * 2_000_000_000)
    yield "title-bomb", packed("<score-partwise><work><work-title>" + "t" * 900_000_000)
    yield "names", packed(score("<measure/>", 80_000))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        for number in range(60_000):
            file.writestr(f"f{number}", "")
    yield "files", out.getvalue()
    yield "noise", b"PK\3\4" + noise()


COMMANDS = {
    "tune": (tunes, ["check IN", "check IN --json", "fit IN", "sticks IN", "lineup IN", "tidy IN --check", "render IN --json", "cover lead-c IN"]),
    "band.toml": (bands, ["check tune.tune --band IN", "check tune.tune --band IN --json", "pans IN"]),
    "pan.toml": (pans, ["pans IN", "pans IN --json"]),
    "mid": (midis, ["import IN", "import IN -o OUT", "check IN"]),
    "musicxml": (scores, ["import IN", "import IN -o OUT"]),
    "mxl": (packed_scores, ["import IN", "import IN -o OUT"]),
}


def runner():
    """Runs what it is asked to, a line of JSON each: a process of its own, since the memory of whoever starts a program counts as the
    program's."""
    for line in sys.stdin:
        folder, arguments = json.loads(line)
        with open(os.path.join(folder, "out.txt"), "wb") as file:
            process = subprocess.Popen([PROGRAM, *arguments], cwd=folder, stdin=subprocess.DEVNULL, stdout=file, stderr=file)
            _, status, used = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
        print(json.dumps([process.returncode, used.ru_utime + used.ru_stime, used.ru_maxrss // 1024]), flush=True)


class Asker:
    """Gives the code, the seconds, the megabytes of memory and the bytes of output of a run."""

    def __init__(self):
        command = [sys.executable, os.path.abspath(__file__), PROGRAM]
        self.runner = subprocess.Popen(command, env=os.environ | {"RUNNER": "1"}, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def ask(self, folder, arguments):
        self.runner.stdin.write(json.dumps([folder, arguments]) + "\n")
        self.runner.stdin.flush()
        code, seconds, memory = json.loads(self.runner.stdout.readline())
        written = [os.path.join(folder, name) for name in ("out.txt", "out.tune")]
        return code, seconds, memory, sum(os.path.getsize(path) for path in written if os.path.exists(path))


def of_both_sizes(ending, inputs):
    """The inputs, as large as any, and as large as what is read."""
    global SIZE
    for size in {SIZE, READ.get(ending, SIZE)}:
        kept, SIZE = SIZE, size
        yield from ((f"{name} {size // 1_000_000} MB", text) for name, text in inputs())
        SIZE = kept


def main():
    os.environ["RAYON_NUM_THREADS"] = "1"
    asker = Asker()
    wrong, runs, slowest, largest, longest = [], 0, (0.0, ""), (0, ""), (0, "")
    with tempfile.TemporaryDirectory() as folder:
        for name, text in (("band.toml", BAND), ("tune.tune", HEAD + "section a\n" + ROW)):
            with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
                file.write(text)
        for ending, (inputs, commands) in COMMANDS.items():
            for name, text in of_both_sizes(ending, inputs):
                if WORDS and not any(word in f"{ending} {name}" for word in WORDS):
                    continue
                path = f"in.{ending}"
                with open(os.path.join(folder, path), "wb") as file:
                    file.write(text if isinstance(text, bytes) else text.encode())
                for command in commands:
                    if os.path.exists(os.path.join(folder, "out.tune")):
                        os.remove(os.path.join(folder, "out.tune"))
                    words = [path if word == "IN" else "out.tune" if word == "OUT" else word for word in command.split()]
                    code, seconds, memory, output = asker.ask(folder, words)
                    what = f"{name}.{ending}: {command}"
                    runs += 1
                    slowest, largest, longest = max(slowest, (seconds, what)), max(largest, (memory, what)), max(longest, (output, what))
                    line = f"{code:3} {seconds:6.2f} s {memory:5} MB {output:9} bytes  {what}"
                    is_wrong = code not in (0, 1, 2) or seconds >= SECONDS or memory > MEMORY or output > OUTPUT
                    if is_wrong:
                        wrong.append(line)
                    if is_wrong or seconds > PROMISED or WORDS:
                        print(line, flush=True)
    print(f"{runs} runs; slowest {slowest[0]:.2f} s ({slowest[1]}), most memory {largest[0]} MB ({largest[1]}), most output {longest[0]} bytes ({longest[1]})")
    return f"{len(wrong)} runs fail" if wrong else 0


if __name__ == "__main__":
    sys.exit(runner() if "RUNNER" in os.environ else main())
