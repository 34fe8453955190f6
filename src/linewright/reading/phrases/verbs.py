"""Forms of the verbs that moves are told with."""

from __future__ import annotations

from collections.abc import Iterable

#: Past forms that don't end in "-ed".
IRREGULAR = {
    "come": "came", "get": "got", "spring": "sprang", "bring": "brought", "take": "took", "let": "let", "go": "went",
    "withdraw": "withdrew", "fall": "fell", "run": "ran", "swing": "swung", "slide": "slid", "draw": "drew",
    "put": "put", "creep": "crept", "hit": "hit", "drive": "drove", "break": "broke", "give": "gave", "eat": "ate",
    "win": "won", "steal": "stole", "retake": "retook", "hide": "hid", "leap": "leapt", "flee": "fled",
    "leave": "left", "do": "did", "keep": "kept", "send": "sent", "stick": "stuck", "strike": "struck", "make": "made",
    "throw": "threw", "fling": "flung", "stride": "strode",
    "choose": "chose", "think": "thought", "lose": "lost",
}  # fmt: skip
#: Verbs whose last letter is doubled (British spelling) before "-ed".
DOUBLED = frozenset(
    "pop hop step drop grab pin unpin prop nab snip bag swap chop nip slip snap mop trap transfer travel".split()
)


def forms(bases: Iterable[str]) -> dict[str, str]:
    """The forms of these verbs: ``third`` person, ``past``, ``base``, or ``past or base`` where both look alike."""
    out: dict[str, str] = {}
    for base in bases:
        past = past_of(base)
        out[base] = "past or base" if past == base else "base"
        out[third_of(base)] = "third"
        if past != base:
            out[past] = "past"
    return out


def third_of(base: str) -> str:
    """The third person in the present: "pushes", "carries", "goes"."""
    if base.endswith(("s", "sh", "ch", "x", "z", "o")):
        return base + "es"
    if base.endswith("y") and base[-2] not in "aeiou":
        return base[:-1] + "ies"
    return base + "s"


def past_of(base: str) -> str:
    """The simple past: "pushed", "went", "hopped"."""
    if base in IRREGULAR:
        return IRREGULAR[base]
    if base.endswith("e"):
        return base + "d"
    if base.endswith("y") and base[-2] not in "aeiou":
        return base[:-1] + "ied"
    return base + (base[-1] if base in DOUBLED else "") + "ed"
