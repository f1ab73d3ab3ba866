"""Prose that tells of what specc does not cover, beside keys that say nothing of it: one of the two is wrong, or the
sentence is about something else. It is asked, never judged."""

from __future__ import annotations

import re

_A = r"(?:a|an|the|our|his|her|their)"
_SPACE = r"[\w -]{0,20}"  # of a tent: "in the old beer tent"
_ROOMS = (
    r"(?:hall|building|house|barn|room|ballroom|theat(?:er|re)|warehouse|garage|gym|nightclub|container|atrium|lobby"
    r"|cellar|basement|tunnel|cave|church|hangar|stairwell|shed)(?! (?:yard|garden|grounds|park|field|lot|wall))"
)
_ROOFS = r"(?:tent|marquee|big top|yurt|canopy|roof|pavilion|gazebo|awning|dome)"
_OTHERS = (
    r"(?:the public|visitors?|guests?|spectators?|audience|onlookers|passers?-?by|participants?|children|kids|anyone"
    r"|anybody|everyone)"
)
_SETS_OFF = (
    r"(?:(?:press|push|pull|trigger|fire|hit|set off|shoot|start|play|operate|work|light|touch|stomp|shout|clap"
    r"|pedal)\w*|(?:step|stand|jump|drop|wav|sing)\w* (?:on|at|into|in|a coin)\b)"
)
_ABOARD = rf"(?:on|aboard) {_A} {_SPACE}(?:float|boat|barge|raft|ship|ferry)(?! valve)"
_BY_ITSELF = (
    r"(?:itself|by itself|automatically|(?:by|on|from|to) (?:a |the )?(?:timer|sensor|laptop|music|sound|beat))"
)
_MOVES = r"(?:moves?|moving|rolls?|rolling|drives?|driving|is driven)"
# What is not covered, and the words by which somebody would tell it.
_TELLS = {
    "of a room": rf"indoors?|(?:in|inside|within|on the stage of) {_A} {_SPACE}{_ROOMS}",
    "of a tent or roof": rf"(?:in|inside|within|under|beneath) {_A} {_SPACE}{_ROOFS}",
    "of driving or moving": rf"parade|(?:on|the) float(?! valve)|{_ABOARD}|drone|flying|flies|flown|afloat"
    r"|in motion|drives|driven|rolls along|rides along|towed|art car"
    rf"|while (?:it |we |they )?{_MOVES}|(?:on|from) {_A} moving \w+",
    "of being worn or carried": r"worn|wears?|wearing|wearable|backpacks?|hand[ -]?held|carried while|costume"
    rf"|gauntlets?|fire fans?|on {_A} (?:back|head|arm|wrist|shoulders?|helmet|hat|belt|chest|body)"
    r"|(?:dancers?|performers?|actors?) (?:carr|hold|swing|spin)\w*",
    "of liquid": r"liquid[ -]fed|liquid (?:fuel|propane|withdrawal|gas) (?:is|flows|runs|goes|comes|feeds|sprays)\b"
    r"|sprays? (?:of )?liquid|gel fuel|alcohol|ethanol|diesel|petrol|paraffin|lighter fluid"
    r"|kerosene|naphtha|gasoline|methanol|lamp oil|white gas|upside down|upturned",
    "of a trigger in other hands": rf"{_OTHERS} (?:can |may |will |could |to |who |that )?{_SETS_OFF}"
    rf"|{_OTHERS}['’]?s?['’]? (?:own )?phones?|coin[ -]operated|interactive|(?:motion|proximity|sound) sensor"
    rf"|(?:fires?|fired|lights?|triggers?|triggered|shoots?|bursts?) {_BY_ITSELF}",
}
_WORDS = tuple((what, re.compile(rf"\b(?:{words})\b", re.IGNORECASE)) for what, words in _TELLS.items())
# In the same part of a sentence, these tell that it is not so, or of something that stands elsewhere.
_DENIES = re.compile(
    r"\b(?:no|not|never|nobody|nothing|none|without|nor|away|far|beside|outside|ft|feet)\b", re.IGNORECASE
)


def told(text: str) -> str:
    """What a text tells of that is not covered, with its words; "" for nothing.

    >>> told("A backpack that a dancer carries."), told("Nobody wears it; the beer tent is 200 ft away.")
    ("of being worn or carried ('backpack')", '')
    """
    for clause in re.split(r"[.;:,\n]", text):
        for what, words in _WORDS:
            met = words.search(clause)
            if met and not _DENIES.search(clause):
                return f"{what} ({' '.join(met[0].split())!r})"
    return ""
