"""The words in which trainers say who stands better, as patterns and bands of scores.

Each degree has a band of scores, in pawns for the side spoken of, in which it holds; its leeway says by how much a
score may miss the band before the words are called false. The bands are the trade's signs (``engine/signs.py``);
what words go with which sign is common practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from linewright.claims.sentence.words import Sentence
from linewright.engine.signs import CLEAR, SLIGHT, WINNING
from linewright.language.patterns import either, listed

#: Pawns by which a score may miss the band of the words before they are called false: trainers and engines differ
#: by so much over the same position, and a true claim called false is the worst error.
LEEWAY: Final = 0.4
#: For words of taste, which no score makes false.
ANY: Final = 1000.0
#: The score that a mate counts as, in pawns, and the open end of a band.
MATE: Final = 99.0


@dataclass(frozen=True, slots=True)
class Band:
    """The scores, in pawns for the side spoken of, that fit some words.

    :param low: least score at which they hold.
    :param high: greatest.
    :param leeway: a score further off than this makes them false; in between they stay undecided.
    """

    low: float
    high: float = MATE
    leeway: float = LEEWAY


#: Degree -> band. A side that is "fine" or has "compensation" is at most slightly worse; one that "holds" isn't lost.
BANDS: Final[dict[str, Band]] = {
    "slight": Band(0.0, CLEAR + LEEWAY),
    "better": Band(SLIGHT),
    "clear": Band(CLEAR),
    "winning": Band(WINNING),
    "level": Band(-SLIGHT, SLIGHT),
    "drawn": Band(-SLIGHT, SLIGHT, WINNING),
    "equalised": Band(-SLIGHT, CLEAR),
    "fine": Band(-LEEWAY),
    "holding": Band(-CLEAR, MATE, WINNING - CLEAR),
    "compensation": Band(-LEEWAY, MATE, CLEAR),
    "preferred": Band(0.0, MATE, ANY),
    "nothing": Band(-MATE, SLIGHT),
    "balanced": Band(-CLEAR, CLEAR, WINNING - CLEAR),
    "unclear": Band(ANY, ANY, 2 * ANY),
}
#: Degrees of the whole position, of neither side.
LEVEL: Final = frozenset({"level", "drawn", "unclear", "balanced"})

_BIT = rf"(?:an? )?(?:(?:tiny|very|little) )?{listed('bit little shade touch tad fraction hair whisker trifle smidge')}"
_SLIGHTLY = either(_BIT, listed("slightly marginally somewhat microscopically minimally"))
_CLEARLY = either(
    listed("clearly much far considerably significantly substantially markedly obviously definitely vastly way"),
    "an? (?:good|great|fair) deal", "(?:quite )?a lot", "quite a bit", "by far", "miles", "streets",
)  # fmt: skip
_ADVANTAGE = listed("advantage edge plus superiority")
_FULLY = listed(
    "completely simply totally clearly absolutely just dead objectively strategically positionally basically"
)
_GOOD = listed("fully perfectly absolutely completely totally doing very quite pretty just more than at least")
#: Stands for the space after a comma, so that patterns see where a part ends (see :func:`matches`).
PAUSE: Final = "\n"
#: What may follow a word of standing: otherwise "better" is "better placed", "winning" is "winning a pawn".
_END = (
    rf"(?=$|{PAUSE}| {listed('here now already in after with because and but so though although at on again')}\b"
    rf"| {listed('if i you then people they say says')}\b"
    rf"| {listed('as by since when where or for than overall anyway objectively there too also strategically')}\b"
    r"| (?:it|that|this|he|she|we|they|there|what)'?\w*\b| white\b| black\b| according\b| despite\b| no\b| not\b"
    r"| even\b| thanks\b| due\b| once\b| from\b| right\b| my\b| i'd\b| i'm\b| please\b| okay\b)"
)
#: After "winning" and "lost" an article would begin what is won or lost.
_OVER = rf"{_END}(?! it\b| (?:with|on|in) (?:a |an )?(?:tempo|time)\b)"

_DEGREES: Final = (
    ("clear", rf"{_CLEARLY} better{_END}"),
    ("slight", rf"{_SLIGHTLY} better{_END}|better by {_BIT}|better {_SLIGHTLY}{_END}"),
    ("winning", rf"(?:an? |the )?(?:decisive|winning|overwhelming|crushing) {_ADVANTAGE}"
                rf"|(?:an? )?(?:completely |totally |trivially )?(?:won|winning) (?:position|game|ending|endgame)"
                rf"|(?:{_FULLY} )*(?:winning|won){_OVER}"),
    ("clear", rf"(?:an? |the )?(?:clear|big|large|huge|serious|great|considerable|massive|stable|solid) {_ADVANTAGE}"),
    ("slight", rf"(?:an? |the )?(?:slight|small|tiny|minimal|modest|nagging|little|slim|symbolic|minute)(?:est)? "
               rf"(?:{_ADVANTAGE}|pull|initiative)|(?:an? )?(?:pleasant |nice )edge"),
    ("nothing", rf"(?:absolutely |really |basically )*(?:no|not any|zero) {_ADVANTAGE}{_END}|nothing(?=$|{PAUSE}|"
                rf" here| at all)"),
    ("clear", rf"(?:close to|on the verge of|almost|nearly) winning{_OVER}"),
    ("winning", rf"{_ADVANTAGE} is (?:decisive|winning|overwhelming)|crushing(?: it)?{_END}"),
    ("slight", rf"{_ADVANTAGE} is (?:very |only |rather )?(?:small|slight|tiny|minimal|symbolic)"),
    ("clear", rf"{_ADVANTAGE} is (?:clear|obvious|large|huge|beyond (?:doubt|question|dispute)|undeniable)|"
              rf"dominating{_END}|"
              rf"in (?:full |complete )?(?:command|control){_END}|in the driver's seat"),
    ("better", rf"(?:an?|the|some) {_ADVANTAGE}{_END}|the upper hand|the whip hand|on top{_END}|better{_END}|"
           r"for choice|"
               rf"preferable|to be preferred|superior{_END}|(?:the|a) (?:better|superior) (?:game|chances|prospects|"
               rf"position|"
               rf"ending|endgame|side of it|half)|better (?:chances|prospects)|all the (?:fun|play|chances|trumps)"),
    ("compensation", r"(?:full|enough|good|sufficient|adequate|ample|plenty of|more than enough|excellent|decent) "
                     r"compensation"),
    ("equalised", rf"(?:fully |completely |comfortably |easily |already |practically )*(?:equali[sz]ed|reached equality"
                  rf"|achieved equality){_END}|(?:full |complete |easy |comfortable )*equality{_END}"),
    ("fine", rf"(?:{_GOOD} )*(?:fine|okay|ok|alright|all right|comfortable|well){_END}(?! with\b)"
             rf"|in good shape|(?:no|few|zero) (?:real |big |serious )*(?:problems?|worries|difficulties)(?: at all)?"
             rf"{_END}|nothing to (?:fear|worry about|complain about)"),
    ("equalised", r"solved (?:all |most )?(?:of )?(?:his|her|the|our|their|my) (?:opening )?problems"),
    ("fine", r"(?:an? )?(?:very |quite |perfectly )*(?:good|excellent|fine|decent|healthy|solid) (?:game|position)"),
    ("preferred", r"the (?:more|most) (?:comfortable|pleasant) (?:game|position|side)|the easier (?:game|position)|"
                  r"pressing|"
                  r"the one pushing"),
    ("holding", rf"holds? (?:it |this |everything |the (?:position|balance|draw) )?"
                rf"(?:easily|comfortably|without (?:any )?(?:trouble|effort|problems))|(?:easily |comfortably )?holding"
                rf"{_END}"),
)  # fmt: skip
#: The other side of the same: what a side that is worse is said to be, as the degree of its opponent.
_WORSE: Final = (
    ("clear", rf"{_CLEARLY} worse{_END}|in (?:big|serious|deep|real|great|huge) (?:trouble|difficult(?:y|ies))"),
    ("slight", rf"{_SLIGHTLY} worse{_END}"),
    ("winning", rf"(?:(?:{_FULLY}|already|really) )*(?:lost|losing|busted|hopeless|toast|finished){_OVER}"
                rf"|an? (?:completely |totally )?lost (?:position|game|ending|endgame)"),
    ("better", rf"worse{_END}|suffering{_END}|struggling{_END}|in a (?:mess|bad way|sorry state)|falling apart|"
               rf"collapsing|in dire straits|an? (?:very |really )?(?:difficult|bad|miserable|terrible) (?:game|"
               rf"position)|inferior{_END}|"
           rf"in (?:some )?(?:trouble|difficult(?:y|ies)){_END}"),
)  # fmt: skip


def _any(rows: tuple[tuple[str, str], ...], prefix: str) -> str:
    return "|".join(f"(?P<{prefix}{n}_{name}>{pattern})" for n, (name, pattern) in enumerate(rows))


_WHO = listed(
    "our his their my your white white's black black's we we're we've i'm i i've he he's he'd they they're they've both"
)
#: "White, I submit, is clearly better": words put in between.
_ASIDE = (
    r"(?: (?:i (?:think|believe|submit|suppose|guess|feel|say|find|reckon|would say|must say|am sure|dare say)|in my "
    r"(?:opinion|view|book)|of course|for me|to my mind|if anything|objectively|here|however|then))?"
)
_VERB = (
    rf"(?: {listed('is are am stands stand has have got get gets keeps keep retains holds obtains simply just')}"
    rf"| {listed('already now enjoys enjoy must be gets get reaches should')}| the ones? who's| the ones? who (?:is|"
    rf"are)"
    rf"| {listed('still even also really perhaps maybe probably certainly definitely clearly surely at be only')}"
    rf"| {listed('actually not never always here then objectively no least had was were been looks seems left with')}"
    r"| \w+n't)*?"
)
SIDED: Final = re.compile(
    rf"\b(?P<who>{_WHO})(?: (?:whole )?(?:position|game|ending|endgame|side|"
    rf"setup))?{_ASIDE}{_VERB} (?:{_any(_DEGREES, 'd')}|{_any(_WORSE, 'w')})(?! for (?:white|black)\b)"
)
_OF = r"(?:for|to) (?P<who>white|black|us|me|him|both(?: sides)?)"
#: "A shade better for white", "winning for black", "fine for us".
FOR: Final = re.compile(
    rf"\b(?:{_any(_DEGREES, 'd')}|{_any(_WORSE, 'w')}|(?P<d90_slight>by {_BIT})|(?P<d91_better>(?:very )?(?:good|nice|"
    rf"great|pleasant|favourable|promising))|(?P<d92_preferred>(?:a bit |slightly |much )?(?:more pleasant|easier|"
    rf"nicer)"
    rf"(?: to play)?)|(?P<w93_better>(?:very |rather |really |pretty |quite )?(?:bad|terrible|awful|unpleasant|"
    rf"dreadful|"
    rf"miserable|difficult))|(?P<d95_winning>(?:completely |totally |simply )?(?:crushing|decisive))|"
    rf"(?P<d94_nothing>nothing(?: special| much)?))(?: (?:here|already|"
    rf"now))? {_OF}(?='?s?(?:$| ))"
)
_LEVEL_WORDS: Final = (
    ("level", r"(?:(?:absolutely|about|roughly|completely|dead|simply|perfectly|totally|just|objectively|"
              r"more or less|approximately|pretty much|still|very|fully|basically|near|nearly) )*"
              r"(?:equal|level|balanced|even|equality|fifty fifty|(?:all |triple |three )?zeros|zero zero|0\.00?)"),
    ("drawn", r"(?:(?:absolutely|completely|dead|simply|totally|just|objectively|theoretically|basically) )+"
              r"(?:a draw|draw|drawn)|drawn|a dead draw"),
    ("unclear", r"(?:(?:very|completely|totally|still|quite|just|rather|highly|wildly) )*"
                r"(?:unclear|double edged|a complete mess|anyone's game|anybody's game)"),
)  # fmt: skip
_LEVELS = _any(_LEVEL_WORDS, "d")
#: Captions run on after "equal" without a stop; "even" would be "even better".
_RUNS_ON = r"(?<!even)(?! (?:material|numbers?|amounts?|exchange|footing|pieces|pawns|chances|with|to|by|in|of)\b)\b"
#: The position as a whole is level, drawn or unclear.
WHOLE: Final = re.compile(
    rf"\b(?:(?:this|it|that|(?:the |this )?(?:position|game|ending|endgame|middlegame|assessment|evaluation|"
    rf"verdict)|chances|(?:the )?chances|all|"
    rf"everything|things|what) (?:is|are|remains|stays|seems|looks)|it's|that's|this's|that is|(?:computer|engine|"
    rf"machine) (?:says|calls it|gives)|we are|we're|they're|with)"
    rf" (?:(?:still|now|already|here|probably|not|again) )*(?:{_LEVELS})(?:{_END}|{_RUNS_ON})"
    r"(?! (?:material|number|amount|exchange)s?\b)"
)
NOBODY: Final = re.compile(r"\b(?:nobody|neither side|neither player|no one) (?:is|stands|has)(?: really| clearly)? "
                           r"(?P<d0_level>better|an? (?:advantage|edge))")  # fmt: skip
#: "Slightly in white's favour", "favours black", "advantage white", "the engine likes white".
FAVOUR: Final = re.compile(
    rf"\b(?:(?:(?P<d0_slight>{_SLIGHTLY})|(?P<d1_clear>{_CLEARLY})|(?P<d2_better>)) (?:in|to) (?P<who>white's|"
    rf"black's|our|his|my"
    rf"|their) favou?r\b|(?:favou?rs|likes|prefers|loves) (?P<who2>white|black)(?P<d3_slight> (?:slightly|a (?:bit|"
    rf"little)))?"
    rf"{_END}|(?P<d4_better>advantage) (?P<who3>white|black)\b)"
)
#: "Black can resign."
RESIGN: Final = re.compile(
    rf"\b(?P<who>{_WHO}) (?P<w0_winning>(?:can|could|may|might|should|is about to|will)(?: as well| safely| just|"
    rf" now)? resigns?)\b"
)
BOTH_SIDES: Final = re.compile(
    r"\b(?P<d0_balanced>chances for both(?: sides| players)?|both sides have (?:their |equal |good )?chances|"
    r"(?:equal|balanced|even) "
    r"chances|dynamic(?:ally)? (?:balanced?|equal(?:ity)?))\b"
)
#: "White, I think, by a little."
BY_A_BIT: Final = re.compile(rf"\b(?P<who>white|black){_ASIDE} (?P<d0_slight>by {_BIT})\b")
#: "Perfectly equal." all by itself.
BARE: Final = re.compile(rf"^(?:(?:and|so|well|okay|now|then|here) )*(?:{_LEVELS})(?: here| now| i think| i'd say)?$")
#: "I'd rather be white", "I prefer black here".
TASTE: Final = re.compile(
    r"\b(?P<d0_preferred>(?:i'd|i would|i|we|most people|everybody would|one would) (?:much |still |slightly |always |"
    r"clearly |really |quite |definitely )*(?:prefer|like|rather (?:be|have|play|take)|take)(?: to (?:be|play|"
    r"have))?) (?P<who>white|black)(?! knight| "
    r"bishop| queen| rook| king| pawn| square)\b"
)
#: Who stands better, as asked.
ASKED: Final = re.compile(
    r"\b(?:is|are) (?:it |this |that |the position )?(?:white |black |we |he |really )*"
    rf"(?:(?:any|slightly|much|{_BIT}) )?(?:better|worse|equal|winning)"
    r"|\b(?:who|which side) (?:is|stands|'s) (?:better|happier|winning)|\bwho's (?:better|winning)|\bwho stands better"
)
#: Words with which a question is answered, or left standing: then it is more than a question.
ANSWERED: Final = re.compile(
    r"\b(?:i (?:think|don't|do not|have|suppose|guess|can't|believe|say|honestly)|i've|i'd|says?|said|thinks|tells?|"
    r"gave|answers?|nobody|machine|engine|computer|no idea|no clue|hard to (?:say|tell)|depends|opinions?|argue|"
    r"perhaps|maybe|(?:white|black)(?: i \w+)? by)\b"
)
#: The trainer himself takes back what he says, or says that others differ: nothing to call right or wrong.
DOUBTED: Final = re.compile(
    r"\b(?:who knows|who can (?:say|tell)|(?:good |strong )?(?:players|people|experts|grandmasters|masters|"
    r"opinions|books)(?: still)? (?:argue|disagree|differ|don't agree)|opinions (?:are divided|vary)|"
    r"i(?:'ve| have)? changed my mind|i(?:'m| am) not (?:so |quite |at all )?sure|hard to (?:say|tell)|don't know|"
    r"do not know|not sure|(?:i|we) keep "
    r"(?:winning|losing)|open to debate|debatable|a matter of taste|no idea|no clue|"
    r"used to (?:think|teach|say|believe))\b"
)


_ALL: Final = (NOBODY, FAVOUR, RESIGN, FOR, SIDED, BY_A_BIT, WHOLE, BOTH_SIDES, BARE, TASTE)


def degree(match: re.Match[str]) -> tuple[str, bool]:
    """The degree a match speaks of, and whether it is said of the side that is worse."""
    for name, value in match.groupdict().items():
        if value and "_" in name:
            return name.split("_", 1)[1], name.startswith("w")
    return "better", False


def matches(sentence: Sentence) -> Iterator[re.Match[str]]:
    """What a sentence says of who stands better: no two matches share words, the fuller wordings first.

    The words are read twice, without punctuation as in captions, and with the pauses that there are: "White is
    winning, people say".
    """
    done: list[tuple[int, int]] = []
    for text in (sentence.text, _paused(sentence)):
        for pattern in _ALL:
            for match in pattern.finditer(text):
                if not any(match.start() < end and match.end() > start for start, end in done):
                    done.append(match.span())
                    yield match


def _paused(sentence: Sentence) -> str:
    """The text of a sentence, as long as before, with its pauses."""
    return "".join(token.text + (PAUSE if token.after.strength else " ") for token in sentence.tokens)[:-1]
