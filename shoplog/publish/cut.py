"""The final cut beside the recordings: which seconds of which recording are where in the edited video.

Words are compared first: runs of the same few words are anchors, anchors at one offset are a piece, and a chain of
pieces is found that explains the cut best; recordings may be cut, left out and put in another order. Where nobody
speaks, the loudness of both may tell (`sound`).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from statistics import median

from shoplog.errors import InputError
from shoplog.log import KeptFact, Project
from shoplog.publish.programme import Programme, Span, length_of
from shoplog.publish.stated import own_takes, statements
from shoplog.transcript import Transcript, Word

#: So many words in a row are an anchor; runs that stand in more places than `COMMON` say nothing.
RUN, COMMON = 3, 6
#: Anchors whose offsets differ by less are of one piece, seconds. Recognisers place words to a few tenths.
SAME_OFFSET = 0.7
#: A change of piece must be worth so many anchors.
SWITCH = 3.0
#: A piece needs so many anchors.
LEAST_ANCHORS = 2
#: Without words, a piece is taken to go on for at most so many seconds.
UNSPOKEN = 10.0
#: Where words leave a join open, an editor is taken to have cut in so shortly before the next ones, seconds.
LEAD_IN = 1.0
#: Below this share of the cut's words found in the recordings it is not a cut of this project.
LEAST_FOUND = 0.15

#: Fills what words leave open: (pieces, recording lengths, the cut's length) to pieces with more or better ones.
Sound = Callable[[list[Span], dict[int, float], float], list[Span]]


@dataclass(frozen=True, slots=True)
class Alignment:
    """``programme`` says what is where; ``added`` are the cut's words that are in none of the recordings."""

    programme: Programme
    added: tuple[Word, ...] = ()


@dataclass(frozen=True, slots=True)
class _Token:
    text: str
    start: float
    end: float
    recording_id: int = 0


@dataclass(frozen=True, slots=True)
class _Anchor:
    """Token ``cut`` of the cut is token ``source`` of the recordings; ``offset`` is recording minus cut, seconds."""

    cut: int
    source: int
    recording_id: int
    offset: float


def align(project: Project, cut: Transcript, sound: Sound | None = None) -> Alignment:
    """Find the recordings in the cut. Raises InputError where the cut's words are not theirs."""
    source = [
        t
        for take in own_takes(project)
        for t in _tokens([w for c in take.cues if c.trust != "dropped" for w in c.timed_words()], take.recording.id)
    ]
    words = list(cut.words())
    spoken = _tokens(words, 0)
    lengths = {take.recording.id: length_of(take) for take in own_takes(project)}
    length = cut.duration or max((w.end for w in words), default=0.0)
    pieces = _pieces(_chain(_anchors(spoken, source)), spoken, source)
    matched = {n for first, last, _ in pieces for n in range(first, last + 1)}
    if (spoken and len(matched) < LEAST_FOUND * len(spoken)) or (not spoken and sound is None):
        raise InputError(
            f'The words of this video are not those of "{project.name}"; is it the cut of another project?'
        )
    spans = _spans(pieces, spoken, lengths, length)
    if sound is not None:
        spans = sound(spans, lengths, length)
    programme = Programme(tuple(spans), length, is_cut=True)
    return Alignment(programme, _added(words, programme))


def _tokens(words: Sequence[Word], recording_id: int) -> list[_Token]:
    found = []
    for w in words:
        text = re.sub(r"[^\w/]|_", "", w.text.lower())
        if text:
            found.append(_Token(text, w.start, w.end, recording_id))
    return found


def _anchors(cut: Sequence[_Token], source: Sequence[_Token]) -> list[list[_Anchor]]:
    """The anchors at each token of the cut that has some, in order."""
    places: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for n in range(len(source) - RUN + 1):
        if source[n].recording_id == source[n + RUN - 1].recording_id:
            places[tuple(t.text for t in source[n : n + RUN])].append(n)
    found = []
    for n in range(len(cut) - RUN + 1):
        at = places.get(tuple(t.text for t in cut[n : n + RUN]), ())
        if 0 < len(at) <= COMMON:
            found.append([_Anchor(n, s, source[s].recording_id, source[s].start - cut[n].start) for s in at])
    return found


def _chain(anchors: Sequence[Sequence[_Anchor]]) -> list[_Anchor]:
    """The chain of anchors, one at each place at most, with the most anchors less what its changes cost."""
    best_at: dict[tuple[int, int], tuple[float, int]] = {}
    best_of_all: tuple[float, int] = (0.0, -1)
    nodes: list[tuple[_Anchor, int]] = []
    for group in anchors:
        fresh = []
        for a in group:
            key = (a.recording_id, round(a.offset / SAME_OFFSET))
            near = [best_at[k] for d in (-1, 0, 1) if (k := (key[0], key[1] + d)) in best_at]
            near = [b for b in near if abs(nodes[b[1]][0].offset - a.offset) < SAME_OFFSET]
            score, before = max([*near, (best_of_all[0] - SWITCH if nodes else 0.0, best_of_all[1])])
            nodes.append((a, before))
            fresh.append((key, (score + 1.0, len(nodes) - 1)))
        for key, entry in fresh:
            best_at[key] = max(entry, best_at.get(key, (float("-inf"), -1)))
            best_of_all = max(best_of_all, entry)
    chain = []
    at = best_of_all[1]
    while at >= 0:
        chain.append(nodes[at][0])
        at = nodes[at][1]
    return chain[::-1]


def _pieces(chain: Sequence[_Anchor], cut: Sequence[_Token], source: Sequence[_Token]) -> list[tuple[int, int, Span]]:
    """(first token, last token, span) of each piece in the cut's order, grown word by word over what was misheard."""
    groups: list[list[_Anchor]] = []
    for a in chain:
        if (
            groups
            and a.recording_id == groups[-1][-1].recording_id
            and abs(a.offset - groups[-1][-1].offset) < SAME_OFFSET
        ):
            groups[-1].append(a)
        else:
            groups.append([a])
    found: list[tuple[int, int, Span]] = []
    for group in groups:
        if len(group) < LEAST_ANCHORS:
            continue
        offset = median(a.offset for a in group)
        first, last = group[0].cut, group[-1].cut + RUN - 1
        first = _grown(first, group[0].source, -1, cut, source, found[-1][1] + 1 if found else 0)
        last = _grown(last, group[-1].source + RUN - 1, 1, cut, source, len(cut) - 1)
        start, end = cut[first].start, max(cut[last].end, cut[first].start)
        found.append((first, last, Span(group[0].recording_id, start + offset, end + offset, start)))
    return found


def _grown(at: int, source_at: int, step: int, cut: Sequence[_Token], source: Sequence[_Token], bound: int) -> int:
    """The furthest token of the cut, from an anchor on, that still runs beside the recording's words."""
    from rapidfuzz.fuzz import ratio

    recording_id, misses, kept = source[source_at].recording_id, 0, at
    n, s = at + step, source_at + step
    while 0 <= s < len(source) and source[s].recording_id == recording_id and (n - bound) * step <= 0 and misses < 2:
        drift = (source[s].start - cut[n].start) - (source[source_at].start - cut[at].start)
        if abs(drift) < SAME_OFFSET and ratio(source[s].text, cut[n].text) >= 60:
            kept, misses = n, 0
        else:
            misses += 1
        n, s = n + step, s + step
    return kept


def _spans(
    pieces: Sequence[tuple[int, int, Span]], cut: Sequence[_Token], lengths: dict[int, float], length: float
) -> list[Span]:
    """The pieces as spans that meet where nothing else was said between them."""
    spans: list[Span] = []
    for _, _, span in pieces:
        if spans and _goes_on(spans[-1], span):
            spans[-1] = replace(spans[-1], end=span.end)
        else:
            spans.append(span)
    result: list[Span] = []
    inside = [(s.at - 0.05, s.at + _seconds(s) + 0.05) for s in spans]
    voices = [t for t in cut if not any(start <= t.start <= end for start, end in inside)]
    for n, span in enumerate(spans):
        previous = spans[n - 1].at + _seconds(spans[n - 1]) if n else None
        room_before = min(span.at - previous, LEAD_IN) if previous is not None else span.at
        following = spans[n + 1].at if n + 1 < len(spans) else None
        end = span.at + _seconds(span)
        room_after = max(following - end - LEAD_IN, 0.0) if following is not None else length - end
        before = min(_silent(voices, span.at, -1, room_before), span.start, UNSPOKEN)
        after = min(_silent(voices, end, 1, room_after), lengths.get(span.recording_id, span.end) - span.end, UNSPOKEN)
        result.append(
            Span(
                span.recording_id, span.start - max(before, 0.0), span.end + max(after, 0.0), span.at - max(before, 0.0)
            )
        )
    return result


def _goes_on(a: Span, b: Span) -> bool:
    """True where the recording simply goes on between two pieces."""
    same = a.recording_id == b.recording_id and abs((a.start - a.at) - (b.start - b.at)) < SAME_OFFSET
    return same and b.at >= a.at


def _seconds(span: Span) -> float:
    return span.end - span.start


def _silent(voices: Sequence[_Token], at: float, step: int, room: float) -> float:
    """Seconds from ``at`` on in which no foreign word is said, at most ``room``."""
    ahead = [(t.start - at) if step > 0 else (at - t.end) for t in voices]
    return min([room, *(d for d in ahead if d >= 0)])


def _added(words: Sequence[Word], programme: Programme) -> tuple[Word, ...]:
    """The cut's words outside every piece: a voice-over, a title read aloud."""

    def inside(w: Word) -> bool:
        middle = (w.start + w.end) / 2
        return any(s.at <= middle <= s.at + _seconds(s) for s in programme.spans)

    return tuple(w for w in words if not inside(w))


# ------------------------------------------------------------------------------------------------ what fell out

#: What viewers should hear of: said in the recordings, and missed when it is not in the cut.
TOLD = ("credit", "defect", "finish", "adhesive", "species", "followup", "ppe", "duration")


def left_out(project: Project, programme: Programme) -> tuple[KeptFact, ...]:
    """The statements that a cut leaves out and does not say elsewhere; those that viewers should hear of first."""
    if not programme.is_cut:
        return ()
    facts = [
        k
        for k in statements(project, "checklist", uses=("evidence",))
        if k.fact.status in ("done", "planned", "denied")
    ]
    kept = {_meaning(k) for k in facts if programme.shows(k.recording_id, k.fact.start, k.fact.end)}
    out = [
        k for k in facts if not programme.shows(k.recording_id, k.fact.start, k.fact.end) and _meaning(k) not in kept
    ]
    return tuple(sorted(out, key=lambda k: k.fact.kind not in TOLD))


def _meaning(kept: KeptFact) -> tuple[object, ...]:
    f = kept.fact
    return f.kind, f.item, f.value, f.low, f.high, f.unit, f.status, f.attrs.get("change"), f.attrs.get("coats")
