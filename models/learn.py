"""Learn the extractor's weights (`shoplog/extract/learned.npz`) from narrations with gold facts.

    python models/learn.py                     # learn and write
    python models/learn.py --check             # learn from a part, tell how well the rest is read; writes nothing
    python models/learn.py --also FOLDER       # more narrations, beside tests/narrations

Needs `pip install scikit-learn`. The rules were written with the first narrations in view (`FITTED`), so that what they
say of these is too good to learn from: the later ones, written after the rules, count three times. The cases of
`tests/extract/cases` are learned from as well, words alone. Narrations in `held/` are for the score: nothing is learned
from them. Run it after any change to the rules or to the features, and score the held ones with
`tests/bench/extract_score.py` before and after.
"""

from __future__ import annotations

import argparse
import csv
import datetime as dt
import json
import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from whisper_normalizer.english import EnglishNumberNormalizer

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "bench"), str(ROOT / "models"), str(ROOT)]
from extract_score import cues, line_times  # noqa: E402
from fitting import fit  # noqa: E402
from matching import counted, paired  # noqa: E402

from shoplog.extract import assemble, features, mentions, stream, weighing  # noqa: E402
from shoplog.extract.kinds import candidates  # noqa: E402
from shoplog.extract.quantities import Quantity  # noqa: E402
from shoplog.extract.reading import Candidate, Reading  # noqa: E402
from shoplog.facts import STATUSES  # noqa: E402
from shoplog.linear import Linear, save  # noqa: E402
from shoplog.transcript import Cue, Transcript  # noqa: E402

NARRATIONS = ROOT / "tests" / "narrations"
#: The narrations that were open while the rules were written.
FITTED = frozenset(f"n{k:02d}" for k in range(1, 22))
#: A feature that was seen less often than this is left out.
SEEN = 4
#: Weights below this in all classes are left out: they change no decision.
SMALL = 0.02
#: How strongly each model is held back (the inverse of the penalty), the best of a few on narrations left out.
FREEDOM = {"number": 1.0, "measure": 0.5, "status": 0.5, "meant": 0.3}
#: How a narration is read: as written, as automatic captions, and with the digits that recognisers write.
STYLES = ("written", "captions", "digits")
#: What the rules say, by the names of features.
RULES = ("rule", "no rule", "last", "status=", "score=", *(f"bare {s}" for s in STATUSES))


@dataclass
class Examples:
    rows: list[list[str]] = field(default_factory=list)
    truth: list[str] = field(default_factory=list)
    fitted: list[bool] = field(default_factory=list)
    source: list[str] = field(default_factory=list)

    def add(self, row: list[str], truth: str, name: str) -> None:
        fitted = name[0] != "n" or name in FITTED
        self.rows.append([f for f in row if not f.startswith(RULES)] if name == "case" else row)
        self.truth.append(truth)
        self.fitted.append(fitted)
        self.source.append(name)


def bare(text: str) -> str:
    """As automatic captions write it: lower case, no sentence punctuation."""
    return re.sub(r"[,.:;!?](?=\s|$)", "", text.lower())


def _near(a: float, b: float) -> bool:
    return abs(a - b) <= 0.003 * max(abs(a), abs(b), 1e-9)


def states(quantity: Quantity, fact: dict[str, Any]) -> bool:
    """Whether a quantity can be the number of a gold fact."""
    attrs = fact.get("attrs") or {}
    amount = quantity.amount
    if fact["kind"] == "clock":
        if time := attrs.get("time"):
            hour, minute = int(time[:2]), int(time[3:])
            if amount.time:
                return (amount.time[0] % 12, amount.time[1]) == (hour % 12, minute)
            return minute == 0 and _near(amount.value % 12, hour % 12)
        return "days_later" in attrs and _near(amount.value, attrs["days_later"])
    if fact["kind"] == "finish":
        return bool(attrs.get("coats")) and _near(amount.value, attrs["coats"])
    told = [v for k in ("value", "low", "high") if (v := fact.get(k)) is not None]
    heard = [x for a in (amount, quantity.upper) if a for x in (a.value, a.size, a.count, *(a.parts or ())) if x]
    # "Up to six" may be six hundred, and half an hour thirty minutes.
    scales = {"h": (1, 60, 1 / 60), "min": (1, 60, 1 / 60), "rpm": (1, 100), "grit": (1, 100)}
    scale = scales.get(fact.get("unit") or "", (1,))
    return any(_near(x * s, v) for x in heard for s in scale for v in told)


def labels(
    reading: Reading, claims: Sequence[Sequence[Candidate]], gold: Sequence[dict[str, Any]]
) -> list[dict[str, Any] | None]:
    """The gold fact that each quantity states, if it does: that of the rules' claim on it, or one of its number."""
    words, owner = reading.stream.words, reading.stream.word
    found: list[dict[str, Any] | None] = [None] * len(reading.quantities)
    used: set[int] = set()
    told = [(n, {**assemble.fact(reading, c).as_json(), "status": "any"}) for n, cs in enumerate(claims) for c in cs]
    for k, j in paired(gold, [f for _, f in told]):
        found[told[j][0]] = gold[k]
        used.add(k)
    for slack in (0.1, 1.3):  # captions smear the words of a line
        for n, quantity in enumerate(reading.quantities):
            at = words[owner[quantity.start]].start
            for k, fact in enumerate(gold):
                if found[n] is None and k not in used and fact["start"] - slack <= at <= fact["end"] + slack:
                    other = quantity.unit and quantity.unit not in ("deg", "coat", fact.get("unit"))
                    if states(quantity, fact) and not (other and slack < 1):
                        found[n] = fact
                        used.add(k)
    return found


def readings(path: Path, styles: Sequence[str] = STYLES) -> Iterator[tuple[Reading, list[dict[str, Any]]]]:
    """A narration in each of the styles, with its gold facts in time."""
    narration = json.loads(path.read_text(encoding="utf-8"))
    lines = narration["lines"]
    gold = [
        {**fact, "start": start, "end": end}
        for (start, end), line in zip(line_times(lines), lines, strict=True)
        for fact in line["facts"]
    ]
    digits = EnglishNumberNormalizer()
    recorded = dt.datetime.fromisoformat(narration["started"])
    for style in styles:
        told = list(cues(lines, "written" if style == "digits" else style))
        if style == "digits":
            told = [replace(c, text=digits(bare(c.text))) for c in told]
        reading = Reading(stream.build(Transcript(tuple(told))), recorded)
        mentions.meant(reading)
        yield reading, gold


def gather(paths: Sequence[Path]) -> dict[str, Examples]:
    """The examples of all models."""
    found = {name: Examples() for name in FREEDOM}
    for path in paths:
        for reading, gold in readings(path):
            name = path.stem
            claims = assemble.by_rules(reading, candidates(reading))
            held = weighing.by_quantity(reading, claims)
            rows = weighing.number_rows(reading, held)
            sizes: list[tuple[Quantity, str]] = []
            for quantity, row, fact in zip(reading.quantities, rows, labels(reading, held, gold), strict=True):
                found["number"].add(row, fact["kind"] if fact else "none", name)
                if fact and fact["kind"] == "dimension":
                    found["measure"].add([*row, *features.of_measure(quantity, sizes)], fact["item"], name)
                    sizes.append((quantity, fact["item"]))
            claims = sorted(assemble.with_status(reading, claims), key=lambda c: (c.start, c.end))
            facts = [assemble.fact(reading, c).as_json() for c in claims]
            pairs = {j: gold[i]["status"] for i, j in paired(gold, [{**f, "status": "any"} for f in facts])}
            for j, (row, claim) in enumerate(zip(weighing.claim_rows(reading, claims), claims, strict=True)):
                if j in pairs:
                    found["status"].add(row, pairs[j], name)
                if claim.kind in weighing.ITEMS and counted(facts[j]):
                    # A size that is wrong is another model's; here it counts that the thing was meant.
                    meant = j in pairs or any(
                        g["kind"] == claim.kind and g.get("item") == claim.item
                        and g["start"] - 2 <= facts[j]["start"] <= g["end"] + 2 for g in gold
                    )  # fmt: skip
                    found["meant"].add(row, "yes" if meant else "no", name)
    return found


def gather_cases(found: dict[str, Examples]) -> None:
    """Examples from the tables of cases: lines in which the facts of one family are known and the rules read them."""
    for path in sorted((ROOT / "tests" / "extract" / "cases").glob("*.csv")):
        family = "speed" if path.stem == "status" else path.stem
        if path.stem == "numbers":
            continue
        for row in csv.DictReader(path.open(encoding="utf-8")):
            for said in (row["said"], bare(row["said"])):
                reading = Reading(stream.build(Transcript((Cue(0.0, 5.0, said),))))
                mentions.meant(reading)
                claims = assemble.by_rules(reading, candidates(reading))
                held = weighing.by_quantity(reading, claims)
                for signs, mine in zip(weighing.number_rows(reading, held), held, strict=True):
                    if mine and mine[0].kind == family:
                        found["number"].add(signs, family, "case")
                        if family == "dimension" and mine[0].item:
                            found["measure"].add(signs, mine[0].item, "case")
                    elif not mine:
                        found["number"].add(signs, "none", "case")
                claims = sorted(assemble.with_status(reading, claims), key=lambda c: (c.start, c.end))
                for signs, claim in zip(weighing.claim_rows(reading, claims), claims, strict=True):
                    if claim.kind == family:
                        found["status"].add(signs, claim.status or "done", "case")
                        if family in weighing.ITEMS:
                            found["meant"].add(signs, "yes", "case")


def learn(examples: Examples, freedom: float) -> Linear:
    """Weights from examples; those of which the rules' reading is known count three times."""
    often = [1.0 if fitted else 3.0 for fitted in examples.fitted]
    return fit(examples.rows, examples.truth, often, freedom=freedom, seen=SEEN, small=SMALL)


def check(examples: Examples, freedom: float) -> str:
    """How many of the examples are told right by weights that were learned without their narrations."""
    fresh = sorted({s for s, f in zip(examples.source, examples.fitted, strict=True) if not f})
    right = total = 0
    for part in range(3):
        out = set(fresh[part::3])
        near, far = Examples(), Examples()
        for row, truth, name in zip(examples.rows, examples.truth, examples.source, strict=True):
            (far if name in out else near).add(row, truth, name)
        model = learn(near, freedom)
        for chances, truth in zip(model.probabilities(far.rows), far.truth, strict=True):
            right += model.classes[int(chances.argmax())] == truth
            total += 1
    return f"{right / max(1, total):.3f} of {total} in {len(fresh)} narrations left out in turn"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--also", type=Path, action="append", default=[], help="a folder with more narrations")
    parser.add_argument("--check", action="store_true", help="learn from two thirds and tell how the rest is read")
    options = parser.parse_args()
    paths = sorted(NARRATIONS.glob("n*.json")) + sorted(p for f in options.also for p in f.glob("*.json"))
    found = gather(paths)
    gather_cases(found)
    if options.check:
        for name, examples in found.items():
            print(f"{name:8} {check(examples, FREEDOM[name])}")
        return
    models = {name: learn(examples, FREEDOM[name]) for name, examples in found.items()}
    save(ROOT / "shoplog" / "extract" / "learned.npz", models)
    for name, model in models.items():
        print(f"{name:8} {len(found[name].rows)} examples, {len(model.index)} features, {len(model.classes)} classes")


if __name__ == "__main__":
    main()
