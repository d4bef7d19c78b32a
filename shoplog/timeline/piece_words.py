"""The words by which makers name one of several pieces; they are sought in remarks in small letters."""

from __future__ import annotations

import re

#: What a whole piece may be called.
WHOLE = tuple(
    "bowl bowls blank piece vase box platter plate goblet cup form pot urn dish mallet bottle spindle candlestick "
    "lamp ornament top pen egg billet cylinder baluster bell globe mortar pestle mushroom apple pear".split()
)
#: What may be a piece, or a part or a trait of one.
_PARTS = tuple("one un yin fella handle leg finial log twin pair offcut lump slab disc square round half board".split())
_PARTS += ("ring", "ball", "stick", "lid", "base", "icicle", "cube", "bit", "pin", "job")
NAMES = (*WHOLE, *_PARTS)
NOUNS = rf"(?:{'|'.join(NAMES)}|hollow form)"
NTH = ("first", "second", "third", "fourth", "fifth", "sixth")
CARDINALS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
ORDINALS = {word: number for row in (NTH, CARDINALS, "123456789") for number, word in enumerate(row, 1)}
COUNTS = "|".join(CARDINALS)
#: After these words a number counts something else, or pieces of other days.
NOT_A_PIECE = (
    r"(?![- ](?:inch|mil|mm|coat|hundred|thousand|\w+ty\b|\w+teen\b|oh\b|point\b|and a\b|\w+th\b|of these"
    r"|i (?:ever|made|did|turned|sold|ruined)\b|ever\b)|[- ]?\d| of (?:coffee|tea)\b)"
)
#: Before and after these words "number one" is no piece.
NOT_BEFORE = "".join(rf"(?<!\b{word} )" for word in ("coat", "jaw", "tip", "tool", "step", "rule", "grit"))
#: After a name with its count ("bowl two") no plural follows: "the bottle two spoons" counts spoons.
_ENDS = r"(?! (?!(?:is|has|was|goes|gets|needs|wants|comes|looks|does|takes|starts|stands|this)\b)\w+s\b)"
NUMBERED = re.compile(
    rf"\b(?:(?P<nth>{'|'.join(NTH)}) (?:\w+ )?(?P<what>{NOUNS})"
    rf"|(?:{NOT_BEFORE}number (?P<nr>{COUNTS}|[1-9])"
    rf"|(?P<name>(?!one|un){NOUNS}) (?:number )?(?P<count>{COUNTS}|[1-9])\b{_ENDS}))"
    rf"\b{NOT_A_PIECE}"
)
_START = r"(?:on to|onto|now for|start(?:ing)? (?:on )?|here's|here is|grab(?:bing)?|mount(?:ing)?)"
NEXT = re.compile(
    rf"\b(?:{_START} (?:the|my|this)? ?(?:next|other) (?P<what>{NOUNS})"
    rf"|(?:the|this) other (?P<name>{NOUNS}) (?:now|is|goes|gets)"
    rf"|same (?:again|thing) (?:on|for|with) the other (?P<other>{NOUNS}))\b"
)
#: In front of these words a name of a piece, or "number", may stand.
COUNT = re.compile(rf" (?:{COUNTS}|[1-9])\b")
COUNTED = (*NAMES, "number")
BACK = re.compile(rf"\bback to the (?:other|first|previous) {NOUNS}\b")
#: Words before which an ordinal counts something else or another time.
NOT_HERE = re.compile(
    r"\b(?:next time|last time|tomorrow|later|the last|ever|when (?:i|we) get to|before (?:the|i)|(?:like|than|as) the"
    r"|unlike|my very|normally|used to|gonna be|going to be|years? ago|will be|saving|(?<!now )for the|would|i'd|could"
    r"|copy of|beside|next to|behind"
    r"|skip|i(?:'ll| shall) (?:check|look|see|let))\b[^.;!?]*$"
)
#: After its name these words say that a piece is looked at, not worked on.
ASIDE = re.compile(r"(?:'s)? (?:next to|beside|behind|over there|to copy|to look)\b")
#: Words that say that wood is put on the lathe.
MOUNTED = re.compile(r"\b(?:cent(?:er|re)s|chuck|jaws|faceplate|mounted|on the lathe|between|drive|spur|prong)\b")
#: Things that are never a part of another piece; "now the lid" goes on with the same one.
_THINGS = (
    r"mortar|pestle|mushroom|acorn|stool|seat|dipper|mallet|spoon|scoop|vase|goblet|platter|plate|pen|bell|rattle"
    r"|whistle|candlestick|rolling pin|spinning top|lamp|(?:shade|napkin|curtain) ring"
    r"|(?<=for the )handle"
)
THING = re.compile(rf"\b(?P<thing>{_THINGS})\b")
#: "This half makes a mushroom, that one makes an apple."
PROMISED = re.compile(rf"\b(?:makes|becomes) an? (?P<thing>{'|'.join(WHOLE)}|{_THINGS})\b")
#: A remark that begins with a thing, perhaps after a greeting.
HEAD = re.compile(
    rf"\W*(?:[^.!?]{{1,20}}[.!?,]\s+)?(?:(?:now|and|so|then|next|right|okay|meanwhile|well"
    rf"|here's|for|on to|outside of|inside of|foot of|wax on"
    rf"|back to|tomorrow|a|an|the)\W+){{0,4}}(?P<thing>{'|'.join(WHOLE)}|{_THINGS})\b"
)
#: "Now the cane, between centers, from the same log": of whatever name, unless such a thing is a part of another.
NOW_THE = re.compile(
    r"(?:^|[.!?] )(?:so |and )?(?:now|next) (?:for )?the (?!(?:lid|base|foot|feet|finial|top|bottom|inside|outside|rim"
    r"|stem|knob|cap|neck|collar|insert|plug|body|other|rest|tenon|end|ends|second|first|tail\w*)\b)\w+\b[^.!?]*"
)
LATER = re.compile(r"\b(?:tomorrow|later|next|i'll|we'll|for (?:a|the|my))\b")
#: Words of new wood.
NEW_WOOD = re.compile(
    r"\b(?:billet|offcut|blank|stick|a (?:bit|piece|lump|chunk|length) of (?!a\b)|inch(?:es)? (?:and a \w+ )?thick"
    r"|square by|mil thick|from (?:[\w']+ ){0,5}the same)\b"
)
#: What sets one piece apart from the others: "the cracked one", "the patched one".
TRAIT = re.compile(
    r"(?P<crack>crack)|(?P<split>split)|(?P<patch>patch|epoxy|plug)|(?P<mend>mend|glue)|(?P<knot>knot)|(?P<worm>worm)"
    r"|(?P<stain>stain)|(?P<bark>bark)|(?P<bent>warp|bend|bent)"
)
WITH_TRAIT = re.compile(rf"\bthe (?P<trait>\w+) (?:one|un|{'|'.join(WHOLE)})\b")
#: Legs are counted from one again after the seat that they carry.
LEGS = re.compile(r"\b(?:first leg|leg (?:number )?one|leg (?:wood|blanks?)|legs now|now (?:for )?(?:the )?legs)\b")
#: Glue that dries keeps a piece off the lathe; when it is dry, that piece is back.
GLUED = re.compile(r"\b(?:epoxy|glue|gluing|clamps?|cramp|resin|superglue)\b")
DRY = re.compile(r"\b(?:epoxy|glue|clamps?|cramp|resin|plug)(?:'s| is| are)? (?:hard|set|off|dry|cured|like|solid)\b")
