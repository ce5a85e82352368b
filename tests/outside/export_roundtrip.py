"""Is what the program writes as MusicXML valid, and does music21, an independent reader, find the tune in it?

Usage: export_roundtrip.py PROGRAM FOLDER TUNE...

Every document is held against the schema of MusicXML 4.0 (W3C, musicxml.xsd, as the package `musicxml` carries it), the
container gives the same document back, and music21, with repeats played out and ties put together, finds the same notes
(name, onset, length, accent, damping, roll), bars, sections, chords, words, keys, meters, tempos and dynamics as the
program's JSON has. The part that is named with --part is the same alone. Prints what differs and fails.
"""

import importlib.util
import json
import pathlib
import re
import subprocess
import sys
import zipfile
from fractions import Fraction

from lxml import etree
from music21 import converter, dynamics, expressions, harmony, key, meter, note, stream, tempo

# The attributes that MusicXML's schema takes from W3C XML 1.0 and XLink 1.1, whose schemas no package carries.
IMPORTED = {
    "xml": ("http://www.w3.org/XML/1998/namespace", {"lang": "language", "space": "NCName"}),
    "xlink": ("http://www.w3.org/1999/xlink",
              {name: "anyURI" if name == "href" else "string"
               for name in ("href", "type", "role", "title", "show", "actuate")}),
}


def schema(folder):
    """The schema, with the two that it imports beside it instead of on the network."""
    package = pathlib.Path(importlib.util.find_spec("musicxml").submodule_search_locations[0]) / "generate_classes"
    text = (package / "musicxml_4_0.xsd").read_text(encoding="utf-8")
    (folder / "musicxml.xsd").write_text(text.replace("http://www.musicxml.org/xsd/", ""), encoding="utf-8")
    for name, (space, attributes) in IMPORTED.items():
        lines = "".join(f'<xs:attribute name="{a}" type="xs:{kind}"/>' for a, kind in attributes.items())
        start = f'<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="{space}">'
        (folder / f"{name}.xsd").write_text(f"{start}{lines}</xs:schema>", encoding="utf-8")
    return etree.XMLSchema(etree.parse(str(folder / "musicxml.xsd"), etree.XMLParser(no_network=True)))


def exact(number):
    """A music21 offset or length as a fraction: floats of halves are exact, thirds are fractions already."""
    return Fraction(number).limit_denominator(65535)


def name(pitch):
    return pitch.nameWithOctave.replace("-", "b") if pitch.octave >= 0 else pitch.name.replace("-", "b") + str(pitch.octave)


def compare(what, theirs, ours, wrong):
    theirs, ours = list(theirs), list(ours)
    if theirs == ours:
        return
    pair = next(((a, b) for a, b in zip(theirs, ours) if a != b), None)
    wrong.append(f"{what}: " + (f"music21 has {pair[0]}, the program {pair[1]}" if pair else
                 f"music21 has {len(theirs)}, the program {len(ours)}: {(theirs + ours)[-1]}"))


def strokes(part):
    """The notes of a part: onset, length, names or place on the staff, accented, damped, rolled."""
    found = []
    for element in part.stripTies().flatten().notes:
        if isinstance(element, harmony.ChordSymbol):
            continue
        if isinstance(element, note.Unpitched):
            names = [element.displayStep + str(element.displayOctave)]
        else:
            names = [name(pitch) for pitch in element.pitches]
        marks = {type(articulation).__name__ for articulation in element.articulations}
        rolled = any(isinstance(e, expressions.Tremolo) and e.numberOfMarks == 3 for e in element.expressions)
        onset, length = exact(element.offset), exact(element.quarterLength)
        found.append((onset, length, sorted(names), "Accent" in marks, "Staccato" in marks, rolled))
    return sorted(found)


# Where strokes lie on the staff: the program's own setting, said once more here.
PLACES = {"x": "C5", "o": "A4", "s": "E5"}


def expected_strokes(part):
    def one(entry):
        names = sorted(entry["notes"]) if "notes" in entry else [PLACES[entry["mark"]]]
        marks = (entry["accent"], entry["damped"], entry["rolled"])
        return (Fraction(entry["at"]), Fraction(entry["length"]), names, *marks)
    return sorted(one(entry) for entry in part["notes"])


def changes(pairs):
    """Pairs of onset and value without those that change nothing."""
    kept = []
    for at, value in pairs:
        if not kept or kept[-1][1] != value:
            kept.append((at, value))
    return kept


def silences(chords):
    """Chords without those that end none."""
    kept = []
    for at, value in chords:
        if value or (kept and kept[-1][1]):
            kept.append((at, value))
    return kept


def chord(symbol):
    """A chord symbol as text: root, what was written after it, bass."""
    if symbol.chordKind == "none" or isinstance(symbol, harmony.NoChord):
        return ""
    root, bass = symbol.root().name.replace("-", "b"), symbol.bass().name.replace("-", "b")
    return root + (symbol.chordKindStr or "") + ("" if bass == root else "/" + bass)


def classes(symbol):
    return sorted({pitch.pitchClass for pitch in symbol.pitches})


def compare_top(part, played, written, wrong):
    """What stands over the first part."""
    flat = part.flatten()
    begin = [(exact(e.offset), e) for e in flat]
    at = lambda entry: Fraction(entry["at"])
    compare("sections", [(o, e.content) for o, e in begin if isinstance(e, expressions.RehearsalMark)],
            [(at(s), s["name"]) for s in played["sections"]], wrong)
    # Between repeat signs the end of a chord is told every time.
    compare("chords", silences((o, chord(e)) for o, e in begin if isinstance(e, harmony.ChordSymbol)),
            silences((at(c), c["is"]) for c in played["chords"]), wrong)
    ours = ("swing ", " times")
    compare("words", [(o, e.content) for o, e in begin if isinstance(e, expressions.TextExpression)
                      and not (e.content.startswith(ours[0]) or e.content.endswith(ours[1]))],
            [(at(w), w["is"]) for w in played["words"]], wrong)
    marks = [(o, e.getQuarterBPM()) for o, e in begin if isinstance(e, tempo.MetronomeMark)]
    compare("tempos", changes(marks),
            changes((at(t), float(Fraction(t["quarters_a_minute"]))) for t in played["tempos"]), wrong)
    compare("meters", changes((o, e.ratioString) for o, e in begin if isinstance(e, meter.TimeSignature)),
            [(at(m), m["is"]) for m in played["meters"]], wrong)
    bars = [exact(measure.offset) for measure in part.getElementsByClass(stream.Measure)]
    compare("bars", bars, [at(bar) for bar in played["bars"]], wrong)


def compare_part(part, ours, played, written, wrong):
    if part.partName != ours["name"]:
        wrong.append(f"part `{part.partName}`, not `{ours['name']}`")
    compare(ours["name"], strokes(part), expected_strokes(ours), wrong)
    flat = part.flatten()
    if not ours["percussion"]:
        keys = [(exact(e.offset), e.tonic.name.replace("-", "b") + ("m" if e.mode == "minor" else ""))
                for e in flat.getElementsByClass(key.Key)]
        compare(f"{ours['name']}, keys", changes(keys), [(Fraction(k["at"]), k["is"]) for k in played["keys"]], wrong)
    levels = [(exact(e.offset), e.value) for e in flat.getElementsByClass(dynamics.Dynamic)]
    compare(f"{ours['name']}, dynamics", levels,
            [(Fraction(d["at"]), d["is"]) for d in written["dynamics"] if d["is"] not in "<>"], wrong)
    for measure in part.getElementsByClass(stream.Measure):
        shown = measure.notesAndRests.getElementsNotOfClass(harmony.Harmony)
        ends = [exact(e.offset) + exact(e.quarterLength) for e in shown]
        if [exact(e.offset) for e in shown][1:] != ends[:-1]:
            wrong.append(f"{ours['name']}, measure {measure.number}: a gap or an overlap")


def chord_kinds(score, wrong):
    """Does the kind with its degrees mean the same as the symbol's text? (music21's own spelling of symbols.)"""
    sys.path.insert(0, str(pathlib.Path(__file__).parent))
    from chords_spellings import SPELLINGS
    for symbol in score.recurse().getElementsByClass(harmony.ChordSymbol):
        # An added seventh is a minor one by the standard ("relative to a dominant chord", degree-alter); music21 9 adds a
        # major one.
        if not chord(symbol) or symbol.chordKindStr == "7sus4":
            continue
        root, bass = symbol.root().name, symbol.bass().name
        text = symbol.chordKindStr or ""
        read = harmony.ChordSymbol(root + SPELLINGS.get(text, text))
        extra = {symbol.bass().pitchClass} if bass != root else set()
        if sorted(set(classes(read)) | extra) != sorted(set(classes(symbol)) | extra):
            wrong.append(f"chord {chord(symbol)}: {classes(symbol)}, by its text {classes(read)}")


def compare_wedges(score, written, wrong):
    """Every wedge that is written is open where the tune says so; repeats are compared as written."""
    for part in score.parts:
        found = [type(w).__name__ for w in part.recurse().getElementsByClass(dynamics.DynamicWedge)]
        found += [type(w).__name__ for w in part.spannerBundle.getByClass(dynamics.DynamicWedge)]
        wanted = {"<": "Crescendo", ">": "Diminuendo"}
        kinds = {wanted[d["is"]] for d in written["dynamics"] if d["is"] in "<>"}
        if set(found) != kinds:
            wrong.append(f"{part.partName}: wedges {set(found)} instead of {kinds}")


def check(program, folder, tune, rules):
    wrong = []
    stem = folder / pathlib.Path(tune).stem
    document, container = stem.with_suffix(".musicxml"), stem.with_suffix(".mxl")
    run = lambda *arguments: subprocess.run([program, *map(str, arguments)], check=True, capture_output=True).stdout
    run("export", tune, "-o", document)
    run("export", tune, "-o", container)
    written = json.loads(run("export", tune, "--json"))
    played = json.loads(run("render", tune, "--json"))

    with zipfile.ZipFile(container) as files:
        # By its seal panfold knows a file of its own again; a container has it outside.
        plain = re.sub(rb"<!-- written by panfold, seal \w+ -->\n", b"", document.read_bytes())
        if files.testzip() or files.read("score.musicxml") != plain:
            wrong.append("the container holds another document")
    tree = etree.parse(str(document), etree.XMLParser(load_dtd=False, no_network=True))
    if not rules.validate(tree):
        wrong += [f"schema: line {error.line}: {error.message}" for error in rules.error_log][:5]

    score = converter.parse(document, forceSource=True)
    if score.metadata.bestTitle != played["title"] or score.metadata.composer != played["by"]:
        wrong.append(f"title {score.metadata.bestTitle!r} by {score.metadata.composer!r}")
    if len(score.parts) != len(written["parts"]):
        wrong.append(f"{len(score.parts)} parts instead of {len(written['parts'])}")
    chord_kinds(score, wrong)
    compare_wedges(score, written, wrong)
    notes = 0
    for number, (part, ours) in enumerate(zip(score.parts, written["parts"])):
        expanded = part.expandRepeats()
        compare_part(expanded, ours, played, written, wrong)
        if number == 0:
            compare_top(expanded, played, written, wrong)
        notes += len(ours["notes"])

    last = written["parts"][-1]["name"]
    alone = stem.with_name(stem.name + "-alone").with_suffix(".mxl")
    run("export", tune, "--part", last, "-o", alone)
    part = converter.parse(alone, forceSource=True).parts[0].expandRepeats()
    compare_part(part, written["parts"][-1], played, written, wrong)
    compare_top(part, played, written, wrong)
    if wrong:
        print("\n".join(f"{tune}: {line}" for line in wrong[:20]))
        return False
    print(f"{tune}: {notes} notes of {len(written['parts'])} parts agree; the document is valid")
    return True


def main():
    program, folder, *tunes = sys.argv[1:]
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    rules = schema(folder)
    results = [check(program, folder, tune, rules) for tune in tunes]
    if not results or not all(results):
        sys.exit(1)


main()
