"""What a general component for negation makes of the facts that were denied, against our own rules and weights.

    pip install negspacy
    python tests/bench/negation.py tests/narrations/held

negspacy (NegEx for spaCy) is given the same tokens, sentences and facts of the narrations in a folder; a fact that it
calls negated counts as denied.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

import spacy
from spacy.tokens import Doc, Span

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "models"), str(ROOT)]
from learn import readings  # noqa: E402
from matching import paired  # noqa: E402
from negspacy.negation import Negex  # noqa: E402, F401 - registers the component
from negspacy.termsets import termset  # noqa: E402

from shoplog.extract import assemble, weighing  # noqa: E402
from shoplog.extract.kinds import candidates  # noqa: E402
from shoplog.extract.reading import Candidate, Reading  # noqa: E402


def negated(nlp: spacy.Language, reading: Reading, claims: list[Candidate]) -> list[bool]:
    """For each claim whether the component negates the words of its anchor."""
    found = []
    for claim in claims:
        at = claim.at
        low, high = reading.clauses.sentence(at)
        doc = Doc(nlp.vocab, words=list(reading.text[low:high]))
        for k, token in enumerate(doc):
            token.is_sent_start = k == 0
        doc.ents = [Span(doc, at - low, min(max(claim.end, at + 1), high) - low, label="FACT")]
        found.append(bool(nlp.get_pipe("negex")(doc).ents[0]._.negex))
    return found


def main() -> None:
    nlp = spacy.blank("en")
    nlp.add_pipe("negex", config={"neg_termset": termset("en").get_patterns(), "ent_types": ["FACT"]})
    counts: dict[str, Counter[str]] = {name: Counter() for name in ("negspacy", "our rules", "with weights")}
    for path in sorted(Path(sys.argv[1]).glob("*.json")):
        for reading, gold in readings(path, ("written", "captions")):
            claims = assemble.by_rules(reading, candidates(reading))
            claims = sorted(assemble.with_status(reading, claims), key=lambda c: (c.start, c.end))
            weighed = {(c.kind, c.start, c.anchor): c.status for c in weighing.claims(reading, claims)}
            facts = [{**assemble.fact(reading, c).as_json(), "status": "any"} for c in claims]
            theirs = negated(nlp, reading, claims)
            for i, j in paired(gold, facts):
                truth, claim = gold[i]["status"] == "denied", claims[j]
                for name, said in (
                    ("negspacy", theirs[j]),
                    ("our rules", claim.status == "denied"),
                    ("with weights", weighed.get((claim.kind, claim.start, claim.anchor)) == "denied"),
                ):
                    counts[name]["right" if said and truth else "false" if said else "missed" if truth else "none"] += 1
    print("| | denied found | of those that were | of those called denied |\n|---|---|---|---|")
    for name, c in counts.items():
        total, called = c["right"] + c["missed"], c["right"] + c["false"]
        print(f"| {name} | {c['right']} of {total} | {c['right'] / total:.2f} | {c['right'] / max(1, called):.2f} |")


if __name__ == "__main__":
    main()
