"""Reads string parts with an independent MusicXML reader, the Python package music21 10.5.1, and
writes what it finds as JSON, one file per part, for tests/reading/import_reference.rs.

Use:  python3 -m venv target/reference-venv
      target/reference-venv/bin/pip install music21==10.5.1
      target/reference-venv/bin/python tests/reference/make_reference.py target/reference

What was written is read in the same way:
      make_reference.py FOLDER --written FILE...

The music: string quartets from the corpus that comes with music21, and those in
../shared/data/quartets beside the checkout (left out when they are not there). All times are
fractions of a quarter note as text. Nothing written here is part of the project.
"""

import fractions
import json
import multiprocessing
import pathlib
import sys
import tempfile
import xml.etree.ElementTree as ET
import zipfile

import music21
from music21 import articulations, chord, converter, dynamics, note, spanner, stream, tempo

CORPUS = [
    "haydn/opus1no1/movement*.mxl",
    "haydn/opus74no1/movement*.mxl",
    "mozart/k80/movement*.mxl",
    "mozart/k155/movement*.mxl",
    "mozart/k156/movement*.mxl",
    "mozart/k458/movement*.mxl",
    "beethoven/opus18no1/movement*.mxl",
    "schumann_robert/opus41no1/movement*.mxl",
]
# Of the large quartets the first part (it carries the tempo) and the viola; the largest of them
# takes the reader minutes and is left out.
QUARTETS = "../shared/data/quartets"
TOO_SLOW = {"sq9631717.mxl"}
LEVELS = ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"]
LEVEL_OF = {level: level for level in LEVELS} | {"pppp": "ppp", "ffff": "fff", "ppppp": "ppp", "fffff": "fff", "n": "ppp"}
# A mark that is loud and at once soft leaves its soft level behind it.
LEVEL_OF |= {"fp": "p", "sfp": "p", "sfpp": "pp", "pf": "f"}


def exact(value):
    """The other reader keeps times as floats where they are binary fractions, else as fractions."""
    return fractions.Fraction(value).limit_denominator(65535)


def thinned(path, folder):
    """A copy of a quartet with its first part and its viola only."""
    archive = zipfile.ZipFile(path)
    name = next(n for n in archive.namelist() if n.endswith("xml") and not n.startswith("META-INF"))
    root = ET.fromstring(archive.read(name))
    names = {p.get("id"): p.findtext("part-name", "") for p in root.iter("score-part")}
    parts = root.findall("part")
    kept = {parts[0].get("id")} | {id for id, name in names.items() if "viola" in name.lower()}
    for part in parts:
        if part.get("id") not in kept:
            root.remove(part)
    listing = root.find("part-list")
    for child in list(listing):
        if child.tag != "score-part" or child.get("id") not in kept:
            listing.remove(child)
    # The other reader stops at a metronome mark whose note is left blank; such a mark has no number.
    for kind in root.iter("direction-type"):
        for mark in kind.findall("metronome"):
            if not all((unit.text or "").strip() for unit in mark.iter("beat-unit")):
                kind.remove(mark)
    copy = pathlib.Path(folder) / (path.stem + ".musicxml")
    ET.ElementTree(root).write(copy, encoding="utf-8", xml_declaration=True)
    return copy


def tempo_marks(score):
    """(quarters, quarter notes per minute) of all marks with a number; the printed one counts."""
    marks = {}
    for mark in score.recurse().getElementsByClass(tempo.MetronomeMark):
        printed = mark.number is not None and not mark.numberImplicit
        qpm = mark.getQuarterBPM(useNumberSounding=False) if printed else mark.numberSounding
        if qpm is None:
            continue
        at = exact(mark.getOffsetInHierarchy(score))
        if at not in marks or printed or not marks[at][0]:
            marks[at] = (printed, float(qpm))
    return sorted((at, qpm) for at, (_, qpm) in marks.items())


def seconds_at(marks, at):
    if not marks:
        return float(at) * 60 / 120
    now, seconds, qpm = 0, 0.0, marks[0][1]
    for where, new in marks:
        if where > at:
            break
        seconds += float(where - now) * 60 / qpm
        now, qpm = where, new
    return seconds + float(at - now) * 60 / qpm


def bow_of(element):
    for mark in element.articulations:
        if isinstance(mark, articulations.UpBow):
            return "up"
        if isinstance(mark, articulations.DownBow):
            return "down"
    return None


def read_part(score, part, marks):
    events = []
    levels = []
    by_element = {}
    for index, bar in enumerate(part.getElementsByClass(stream.Measure)):
        start = exact(bar.offset)
        for mark in bar.recurse().getElementsByClass(dynamics.Dynamic):
            value = (mark.value or "").strip().lower()
            if value in LEVEL_OF:
                inside = exact(mark.getOffsetInHierarchy(bar))
                levels.append((exact(start + inside), LEVEL_OF[value], index, inside))
        for element in bar.recurse().notes:
            if isinstance(element, music21.harmony.Harmony):
                continue
            heads = list(element.notes) if isinstance(element, chord.Chord) else [element]
            if any(isinstance(head, note.Unpitched) for head in heads):
                continue
            voice = element.activeSite.id if isinstance(element.activeSite, stream.Voice) else "1"
            # Hidden notes of further voices, and hidden grace notes, are nobody's to play.
            if str(voice) != "1" or element.duration.isGrace:
                heads = [head for head in heads if not head.style.hideObjectOnPrint]
            if not heads:
                continue
            event = {
                "bar": index,
                "number": str(bar.number) + (bar.numberSuffix or ""),
                "onset": exact(start + element.getOffsetInHierarchy(bar)),
                "bar_start": start,
                "last_bar": index,
                "duration": exact(0 if element.duration.isGrace else element.duration.quarterLength),
                "grace": bool(element.duration.isGrace),
                "voice": str(voice),
                "heads": [(float(head.pitch.ps), head.tie.type if head.tie else None) for head in heads],
                "bow": bow_of(element),
                "slur_starts": 0,
                "slur_ends": 0,
            }
            by_element[id(element)] = event
            for head in heads:
                by_element.setdefault(id(head), event)
            events.append(event)
    ends = {}
    for event in events:
        ends[event["bar"]] = max(ends.get(event["bar"], 0), event["onset"] + event["duration"])
    events.sort(key=lambda e: (e["onset"], not e["grace"]))
    joined = join(events, ends)
    for slur in score.recurse().getElementsByClass(spanner.Slur):
        first, last = (by_element.get(id(end)) for end in (slur.getFirst(), slur.getLast()))
        first, last = (end and end.get("into", end) for end in (first, last))
        if first is None or last is None or first is last or not slur.completeStatus:
            continue
        first["slur_starts"] += 1
        last["slur_ends"] += 1
    levels.sort(key=lambda pair: pair[0])
    result = []
    for event in joined:
        level = None
        for at, mark, _, _ in levels:
            if at <= event["onset"]:
                level = mark
        result.append(
            {
                "bar": event["bar"],
                "number": event["number"],
                "onset": str(event["onset"]),
                "in_bar": str(event["onset"] - event["bar_start"]),
                "duration": str(event["duration"]),
                "grace": event["grace"],
                "midi": sorted({pitch for pitch, _ in event["heads"]}),
                "voice": event["voice"],
                "bow": event["bow"],
                "slur_starts": event["slur_starts"],
                "slur_ends": event["slur_ends"],
                "level": level,
                "seconds": seconds_at(marks, event["onset"]),
            }
        )
    return result, [(bar, str(inside), level) for _, level, bar, inside in levels]


def join(events, ends):
    """Joins an event to the one it is tied from, when all of its notes are tied. The bars of the
    other reader do not always meet: a tie from the end of a bar leads to the start of the next."""
    joined = []
    open_events = []  # (event, heads of its last written note)
    for event in events:
        stops = [pitch for pitch, tie in event["heads"] if tie in ("stop", "continue")]
        if not event["grace"] and len(stops) == len(event["heads"]):
            found = None
            for candidate in reversed(open_events):
                old, heads = candidate
                starts = [pitch for pitch, tie in heads if tie in ("start", "continue")]
                end = old["onset"] + old["duration"]
                meets = end == event["onset"] or (
                    event["onset"] == event["bar_start"]
                    and old["last_bar"] + 1 == event["bar"]
                    and old["last_end"] == ends[old["last_bar"]]
                )
                if meets and all(p in starts for p in stops):
                    found = candidate
                    if old["voice"] == event["voice"]:
                        break
            if found is not None:
                old = found[0]
                old["duration"] = exact(old["duration"] + event["duration"])
                event["into"] = old
                old["last_bar"] = event["bar"]
                old["last_end"] = event["onset"] + event["duration"]
                open_events.remove(found)
                open_events.append((old, event["heads"]))
                continue
        event["last_end"] = event["onset"] + event["duration"]
        joined.append(event)
        if not event["grace"]:
            open_events.append((event, event["heads"]))
            open_events = open_events[-40:]
    return joined


def convert(job):
    """One file; a file that the other reader cannot read is told and left out."""
    try:
        return read_file(job)
    except Exception as error:  # whatever it raises, the other files are still wanted
        return [f"LEFT OUT {job[0]}: {type(error).__name__}: {error}"]


def read_file(job):
    source, output = job
    source, output = pathlib.Path(source), pathlib.Path(output)
    thin = source.suffix == ".mxl" and source.stat().st_size > 200_000
    with tempfile.TemporaryDirectory() as folder:
        path = thinned(source, folder) if thin else source
        score = converter.parse(path, forceSource=True)
    score = score.toSoundingPitch() if not score.atSoundingPitch else score
    marks = tempo_marks(score)
    lines = []
    for index, part in enumerate(score.parts):
        if isinstance(part, stream.PartStaff):
            continue
        events, levels = read_part(score, part, marks)
        name = " ".join((part.partName or part.id).split())
        number = index
        if thin:
            number = 0 if index == 0 else 2
        stem = "-".join(source.with_suffix("").parts[-3:] if not thin else [source.stem]) + f"-{number + 1}"
        content = {"source": str(source.resolve()), "part": number, "name": name, "levels": levels,
                   "tempos": [(str(at), qpm) for at, qpm in marks], "events": events}
        (output / (stem + ".json")).write_text(json.dumps(content))
        lines.append(f"{stem}: {len(events)} events")
    return lines


def main():
    output = pathlib.Path(sys.argv[1])
    output.mkdir(parents=True, exist_ok=True)
    if sys.argv[2:3] == ["--written"]:
        run([(path, str(output)) for path in sys.argv[3:]])
        return
    corpus = pathlib.Path(music21.__file__).parent / "corpus"
    files = sorted(path for pattern in CORPUS for path in corpus.glob(pattern))
    here = pathlib.Path(__file__).resolve().parents[2]
    quartets = sorted((here / QUARTETS).glob("*.mxl"))
    if not quartets:
        print("no quartets beside the checkout: only the corpus is read")
    files = [path for path in quartets if path.name not in TOO_SLOW] + files
    jobs = [(str(path), str(output)) for path in files]
    only = sys.argv[2:]
    if only:
        jobs = [job for job in jobs if any(text in job[0] for text in only)]
    run(jobs)


def run(jobs):
    with multiprocessing.Pool(2) as pool:
        for lines in pool.imap_unordered(convert, jobs):
            print("\n".join(lines), flush=True)


if __name__ == "__main__":
    main()
