"""A little English grammar: who moves, whose piece, and verbs that agree."""

from __future__ import annotations

from dataclasses import dataclass

#: Past forms that the rule does not give.
IRREGULAR = dict(
    pair.split("=")
    for pair in (
        "be=was go=went come=came take=took give=gave get=got put=put hit=hit let=let step=stepped swap=swapped "
        "drop=dropped bring=brought play=played throw=threw leave=left lose=lost win=won fall=fell run=ran "
        "see=saw send=sent build=built make=made find=found have=had do=did say=said eat=ate keep=kept "
        "stand=stood sit=sat break=broke fly=flew hop=hopped snap=snapped grab=grabbed pin=pinned strike=struck "
        "hide=hid choose=chose think=thought want=wanted begin=began stop=stopped slip=slipped meet=met "
        "drive=drove shut=shut set=set spend=spent cut=cut try=tried reply=replied trot=trotted nip=nipped "
        "plop=plopped plonk=plonked trade=traded chop=chopped lead=led tuck=tucked plug=plugged hold=held "
        "pop=popped swing=swung fight=fought creep=crept slide=slid seek=sought withdraw=withdrew undo=undid "
        "retake=retook overrun=overran swallow=swallowed shoot=shot bite=bit unpin=unpinned know=knew "
        "fianchetto=fianchettoed echo=echoed nab=nabbed bag=bagged clip=clipped prop=propped stick=stuck "
        "shoo=shooed freeze=froze prefer=preferred wake=woke beat=beat slink=slunk cast=cast cost=cost tell=told "
        "deal=dealt leap=leapt catch=caught sidestep=sidestepped rid=rid shake=shook feel=felt draw=drew "
        "rise=rose travel=travelled "
    ).split()
)


@dataclass(frozen=True, slots=True)
class Person:
    """How one side is spoken of: ``he``, ``his``, ``him``; third says whether verbs take an s."""

    subject: str
    possessive: str
    object: str
    third: bool


PEOPLE = {
    "White": Person("White", "White's", "White", True),
    "Black": Person("Black", "Black's", "Black", True),
    "we": Person("we", "our", "us", False),
    "I": Person("I", "my", "me", False),
    "you": Person("you", "your", "you", False),
    "he": Person("he", "his", "him", True),
    "she": Person("she", "her", "her", True),
    "they": Person("they", "their", "them", False),
    "opponent": Person("my opponent", "my opponent's", "my opponent", True),
    "other": Person("the other side", "the other side's", "the other side", True),
}


def conjugate(verb: str, third: bool, past: bool, subject: str = "") -> str:
    """The form of a verb (or of the first word of a verb phrase) for its subject and the tense told in."""
    word, _, rest = verb.partition(" ")
    if word == "be" and not third:
        plural, single = ("were", "was") if past else ("are", "am")
        return " ".join(filter(None, (single if subject == "I" else plural, rest)))
    return " ".join(filter(None, (_past(word) if past else _present(word, third), rest)))


def _past(word: str) -> str:
    if word in IRREGULAR:
        return IRREGULAR[word]
    if word.endswith("e"):
        return word + "d"
    if word.endswith("y") and word[-2] not in "aeiou":
        return word[:-1] + "ied"
    return word + "ed"


def _present(word: str, third: bool) -> str:
    if word == "be":
        return "is"
    if word == "have":
        return "has" if third else "have"
    if not third:
        return word
    if word.endswith(("s", "sh", "ch", "x", "z", "o")):
        return word + "es"
    if word.endswith("y") and word[-2] not in "aeiou":
        return word[:-1] + "ies"
    return word + "s"


def article(noun: str) -> str:
    return "an" if noun[:1].lower() in "aeiou" else "a"
