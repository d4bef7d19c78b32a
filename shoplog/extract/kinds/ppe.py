"""``ppe``: what is worn, run or left off against dust, noise and flying wood."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.senses_gear import ahead
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

#: What makes a mask a respirator: "the good mask, the one with the canisters".
_CARTRIDGES = wordset("cartridge cartridges canister canisters filters pods respirator")


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each piece of gear, off where it is said to be off."""
    for mention in reading.mentions("ppe"):
        i, j = mention.start, mention.end
        after, before = reading.after(j, 4), reading.before(i, 4)
        status: Status | None = None
        if after[:1] in (["isn't"], ["aren't"], ["wasn't"], ["never"]) or after[:2] in (
            ["is", "off"],
            ["is", "not"],
            ["not", "on"],
            ["are", "off"],
        ):
            status = "denied"
        elif (
            after[:1] in (["on"], ["down"]) or after[:2] in (["is", "on"], ["is", "down"], ["are", "on"])
        ) and reading.statuses.at(i, j, 3 if reading.bare else 40) == "done":
            status = "done"
        elif after[:1] == ["off"] or after[:2] == ["stays", "off"]:
            status = "denied"
        elif (
            after[:3] == ["goes", "on", "before"]
            or after[:3] == ["goes", "on", "when"]
            or after[:3] == ["goes", "back", "on"]
            or ahead(reading, j)
        ):
            status = "planned"
        if _put_by(reading, j):
            status = "planned" if "when" in reading.after(j, 9) else "denied"
        if before[-1:] == ["forgot"] or before[-2:] in (["forgot", "my"], ["forgot", "the"], ["lost", "my"]):
            status = "denied"
        item = mention.term.item
        if reading.text[i] == "mask" and any(w in _CARTRIDGES for w in reading.text[j : j + 16]):
            item = "respirator"
        yield Candidate("ppe", i, j, item, status=status, term=mention.term)


def _put_by(reading: Reading, j: int) -> bool:
    """Gear that is told where it hangs instead of being worn: "the mask's round my neck", "was on the nail"."""
    after = reading.after(j, 5)
    if after[:1] in (["is"], ["was"]):
        after = after[1:]
    elif not reading.text[j - 1].endswith("'s"):
        return False
    after = after[1:] if after[:1] == ["here"] else after
    return (
        after[:1] in (["in"], ["on"], ["round"], ["around"])
        and after[1:2] in (["the"], ["my"], ["its"], ["a"])
        and after[2:3] != []
        and after[2] in wordset("pocket nail hook peg drawer shelf neck bench wall rack cupboard bag van truck house")
    )
