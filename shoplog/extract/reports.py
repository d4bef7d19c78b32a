"""Who else speaks: the reach of "the tin says", of what is told after it, and of a question that is answered."""

from __future__ import annotations

from dataclasses import dataclass

from shoplog.extract.clauses import Clauses
from shoplog.extract.numbers import is_number_word
from shoplog.extract.stream import COMMA, Stream
from shoplog.extract.wordset import wordset

#: Those who speak through a "says" and are no people: their word is a measurement.
INSTRUMENTS = wordset(
    "meter meter's meters readout display dial gauge gage scale scales calipers caliper callipers thermometer "
    "thermostat hygrometer tape ruler rule clock screen reading micrometer probe phone tachometer tach watch "
    "sensor readout's controller laser dehumidifier humidity"
)
#: Verbs of telling.
SAYS = wordset(
    "says said say saying told tells claims claimed claim reckons reckon recommends recommended suggests suggested "
    "swears swore insists insisted want wants thinks thought calls wanted promises wrote reckoned advised "
    "advises warns mentioned tell goes"
)
#: Sources that are mostly something else.
_LOOSE = wordset("it can most some old")
_SELF = wordset("i i'd i'll i've we we'd you let's to i'm me myself they'd and you'd don't can't")
_SOURCES = wordset(
    "can tin bottle label book note tag instructions directions manual plate box card sheet packet tube jar "
    "website article chart jug print drawing drawings paper sketch leaflet maker makers manufacturer recipe "
    "dude lad lads gal boy boys girl chemist doctor shop timer fella he she they guy guys fellow fellows man woman "
    "lady bloke folks people buddy friend "
    "neighbor neighbour brother sister wife husband father mother dad mum mom uncle aunt seller dealer yard mill "
    "customer painter teacher club somebody someone everybody everyone gentleman kid son daughter grandfather "
    "grandpa grandmother cousin boss owner farmer sawyer listing ad receipt sticker stamp some most it who driver "
    "rep forum internet video missus expert experts old"
)
#: A label with its "'s", by which it tells a number: "label's eight hours".
LABELS = wordset("label's tin's can's bottle's tube's plate's box's drawing's")
#: Where something is said to stand: "it says so right on the plate", "on the bottle".
_WHERE = wordset("it so right there here on in at the wee my little side back front bottom") | _SOURCES
_NO = (
    "no ", "nope ", "nah ", "not ", "never ", "none ", "there is not ", "there isn't ", "there aren't ", "i don't ",
    "i do not ", "i didn't ", "i did not ", "i wouldn't ", "i won't ", "it isn't ", "it's not ", "hardly ",
)  # fmt: skip
_PERHAPS = ("i could ", "i might ", "maybe ", "perhaps ", "possibly ", "if ")
#: Answers that are told from what they answer without a mark: "any cracks in it no i've looked".
_NO_TO_ALL = (
    "no i ", "no sir", "no ma'am", "no never", "no not", "no there", "no thank", "nope ", "nah ", "none ", "not one ",
    "not a one", "not any ", "no it ", "no they ", "no no ",
)  # fmt: skip
#: What one is told to do: "and the guy at the store goes wait twenty four hours".
_ORDERS = wordset("wait give leave use don't you put sand go just no make keep run")
_ASKS = wordset("do did would will is are should have can")
_ASKED = wordset("i you we there it they")
#: Subjects under which a report goes on in its next clause.
_STILL_TOLD = wordset(
    "he she they you it he'd she'd they'd he's she's you're you'd you'll it'll which before until till once or "
    "unless never don't"
)


@dataclass(frozen=True, slots=True)
class Scope:
    """The tokens ``start`` to ``end`` that a cue at token ``at`` gives a rank."""

    start: int
    end: int
    rank: str
    at: int


def told(stream: Stream, clauses: Clauses, i: int) -> Scope | None:
    """The scope of a "says" that another speaks; None where the speaker or an instrument does."""
    text, border = stream.text, stream.border
    low = max(clauses.sentence(i)[0], i - 9)
    person = False
    for k in range(i - 1, low - 1, -1):
        word = text[k]
        if k == i - 1 and ((word in _SELF and not _relative(text, i)) or (word == "all" and text[i] == "told")):
            return None
        if word in INSTRUMENTS:
            return None
        if word in ("i", "we", "i've", "i'm") and (k >= i - 2 or text[i - 1] == "have"):
            # "a book I've got says"
            person = k > low and border[k] < COMMA and text[k - 1] in _SOURCES and text[k - 1] not in _LOOSE
            break
        known = word in _SOURCES or stream.upper[k]
        if known or (word in ("my", "the", "me", "our", "his", "her") and k < i - 1 and text[k + 1] not in INSTRUMENTS):
            person = True
            if word == "it":
                if k < i - 1 or text[i] not in ("says", "said"):
                    continue
                # "it says": a label if one was named just before.
                person = any(
                    w in wordset("can tin bottle label box book tag plate instructions manual")
                    for w in text[max(0, k - 12) : k]
                )
            elif any(w in INSTRUMENTS for w in text[low:k]):
                # "the meter, the pinless one, says": what measures was named before.
                return None
            break
        if border[k] >= COMMA and k < i - 3:
            break
    if not person:
        return None
    end = i + 1
    after = text[end] if end < len(text) else ""
    if text[i] == "calls" and after != "for":
        return None
    if text[i] == "tell" and (after not in ("you", "me", "us") or text[i - 1] in ("can", "could", "to", "you", "i")):
        return None
    if text[i] == "goes" and (text[i - 1] in ("it", "that", "which") or after not in _ORDERS):
        return None
    if text[i] in ("wants", "wanted") and not _wanted(stream, i, after):
        return None
    return Scope(end, report_end(stream, clauses, end, i), "reported", i)


def _relative(text: list[str], i: int) -> bool:
    """ "The man that sold it to me said": the self before the verb ends what is told of another."""
    return text[i - 1] in ("me", "us") and any(w in ("who", "that") for w in text[max(0, i - 7) : i - 1])


def _wanted(stream: Stream, i: int, after: str) -> bool:
    """Whether one who can want does: "the tin wants six hours", "he wants it oiled"; not "the hole wants to be"."""
    spoken = stream.text[max(0, i - 3) : i]
    if not any(w in _SOURCES and w != "it" for w in spoken) and not stream.upper[i - 1]:
        return False
    return after in wordset("to me it them a an you") or is_number_word(after)


def told_after(stream: Stream, clauses: Clauses, i: int) -> Scope | None:
    """The scope of a "says" that closes what is said: "two hours, the tube says", "off after ten, says the tin"."""
    text, border = stream.text, stream.border
    n = len(text)
    k = i + 1
    if text[i] not in wordset("says said say reckons claims reckoned told swears swore"):
        return None
    if k < n and text[k] in wordset("the my our this that") and border[k] < COMMA:
        # "says the tin"; "says the tin is dry" goes on.
        k += 2 if k + 1 < n and text[k + 1] in _SOURCES else 0
        begin = i
    else:
        while k < n and border[k] < COMMA and k < i + 7 and text[k] in _WHERE:
            k += 1
        begin = next((j for j in range(i - 1, max(i - 5, -1), -1) if border[j] >= COMMA), i - 1)
        spoken = text[begin:i]
        if not any(w in _SOURCES or stream.upper[begin] for w in spoken) or any(w in INSTRUMENTS for w in spoken):
            return None
        begin = min(begin, i - 1)
    if k == i + 1 and begin == i:
        return None
    if k < n and border[k] < COMMA:
        return None
    low = max(clauses.sentence(i)[0], i - 16)
    for j in range(begin - 1, low, -1):
        if border[j] >= COMMA and text[j] in ("but", "so"):
            low = j
            break
    return Scope(low, begin, "reported", i)


def answers(stream: Stream, clauses: Clauses) -> list[Scope]:
    """What is asked and answered: "cracks? nope", "do I use it for spoons, and no, I don't"."""
    text = stream.text
    found = []
    for at in clauses.sentences[1:]:
        if stream.words[stream.word[at - 1]].text.rstrip("\"')").endswith("?"):
            low = max(clauses.clause(at - 1)[0], at - 20)
            answer = " ".join(text[at : at + 4]) + " "
            if answer.startswith(_NO):
                found.append(Scope(low, at, "denied!", at))
            elif answer.startswith(_PERHAPS):
                found.append(Scope(low, at, "if", at))
    for i, word in enumerate(text):
        if word in ("no", "not", "nope", "nah", "none") and " ".join([*text[i : i + 4], ""]).startswith(_NO_TO_ALL):
            for k in range(i - 1, max(i - 18, -1), -1):
                if text[k] == "any" or (text[k] in _ASKS and text[k + 1] in _ASKED):
                    found.append(Scope(k, i, "denied!", i))
                    break
    return found


def report_end(stream: Stream, clauses: Clauses, begin: int, i: int) -> int:
    text = stream.text
    stop = min(clauses.sentence(i)[1], i + 26)
    index = clauses.index(i)
    while index + 1 < len(clauses.starts):
        index += 1
        at = clauses.starts[index]
        if at >= stop:
            return stop
        if (
            at <= begin
            or (at <= begin + 2 and text[at - 1] in _SOURCES)
            or (at == begin + 1 and text[begin] in ("me", "us", "you", "that", "him", "them"))
        ):
            continue  # what is said opens right after the verb
        opener = next(
            (text[k] for k in range(at, min(at + 3, len(text))) if text[k] not in ("and", "then", "well", "though")),
            "",
        )
        if text[at] in ("but", "so") or opener not in _STILL_TOLD:
            return at
    return stop
