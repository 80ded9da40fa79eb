"""What the buyer is told of the care, and what the desk is asked about the label."""

from __future__ import annotations

from collections.abc import Collection

from resale.garments.care.reader import CareLabel, care_words, read_care

# Two that cannot both be true of one label.
_QUARRELS = (
    ("wash", "no_wash"),
    ("hand_wash", "no_wash"),
    ("wash", "dry_clean_only"),
    ("bleach", "no_bleach"),
    ("oxygen_bleach", "no_bleach"),
    ("tumble", "no_tumble"),
    ("tumble_low", "no_tumble"),
    ("iron", "no_iron"),
    ("iron_low", "no_iron"),
    ("dry_clean", "no_dry_clean"),
    ("dry_clean_only", "no_dry_clean"),
    ("dry_clean_mild", "no_dry_clean"),
)
_WET = frozenset({"wash", "hand_wash", "wet_clean"})
_DRY = frozenset({"dry_clean", "dry_clean_only", "dry_clean_mild"})
# Fibres that felt or lose their lustre in heat and rubbing; common practice, no source.
_TENDER = frozenset({"wool", "cashmere", "mohair", "alpaca", "angora", "silk", "camel", "vicuna"})
_TOO_HOT = 60
_TOO_ROUGH = frozenset({"tumble", "bleach"})
# Answers of the sign 'Care label', and what a label has to say for them.
_ANSWERS = {"machine_wash": {"wash"}, "hand_wash": {"hand_wash"}, "dry_clean_only": _DRY}
MISSING = "missing"
# What a ticket has room for, most telling first.
_ON_TICKET = {
    "none": "no care label",
    "surface": "wipe only",
    "dry_clean_only": "dry clean only",
    "dry_clean_mild": "dry clean only (F)",
    "no_wash": "do not wash",
    "hand_wash": "hand wash",
    "no_tumble": "no dryer",
    "dry_flat": "dry flat",
    "no_iron": "no iron",
}


def label_of(text: str, answer: str = "") -> CareLabel:
    """Read a care label; where none was typed, what the sign says of it.

    Parameters
    ----------
    text : str
        As typed; may be empty.
    answer : str
        Of the sign 'Care label'; empty where it was not looked at.
    """
    if text.strip():
        return read_care(text)
    said = {MISSING: "none", "dry_clean_only": "dry_clean_only", "hand_wash": "hand_wash"}
    return CareLabel((said[answer],)) if answer in said else CareLabel()


def buyer_cautions(label: CareLabel) -> tuple[str, ...]:
    """Give what the buyer should be told, a sentence each.

    Parameters
    ----------
    label : CareLabel

    Examples
    --------
    >>> buyer_cautions(read_care("wash 30, no tumble dry"))
    ('Wash no warmer than 30 °C.', 'Not in the dryer: it may shrink or lose its shape.')
    """
    said = list(_spoken(label))
    if label.degrees and "wash" in label.says:
        said.insert(0, f"Wash no warmer than {label.degrees} °C.")
    if "no_wash" in label.says and "no_dry_clean" in label.says and not _WET & set(label.says):
        said.append("No way of cleaning it is allowed: air it, and sell it saying so.")
    return tuple(said)


def _spoken(label: CareLabel) -> list[str]:
    return [one.buyer for one in care_words().meaning if one.id in label.says and one.buyer]


def ticket_words(label: CareLabel) -> str:
    """Give the caution in as few words as a ticket has room for; empty where there is none.

    Examples
    --------
    >>> ticket_words(read_care("lavare a 30, non asciugare in asciugatrice"))
    'wash 30, no dryer'
    """
    said = [words for name, words in _ON_TICKET.items() if name in label.says]
    if label.degrees and "wash" in label.says:
        said.insert(0, f"wash {label.degrees}")
    return ", ".join(said[:3])


def desk_questions(
    label: CareLabel, answer: str = "", fibres: Collection[str] = ()
) -> tuple[str, ...]:
    """Give what is odd about a label: unread words, quarrels, and what the cloth would not bear.

    Parameters
    ----------
    label : CareLabel
    answer : str
        Of the sign 'Care label'.
    fibres : collection of str
        Ids of the fibres of the main part, where they were typed.
    """
    says, said = set(label.says), []
    names = {one.id: one.name for one in care_words().meaning}
    if label.unread:
        words = ", ".join(f"“{word}”" for word in label.unread[:5])
        said.append(f"Not understood, and left out: {words}.")
    said += [
        f"It says both “{names[a]}” and “{names[b]}”: read it again; two labels may be sewn in."
        for a, b in _QUARRELS
        if a in says and b in says
    ]
    tender = sorted(_TENDER & set(fibres))
    if tender and (("wash" in says and (label.degrees or 0) >= _TOO_HOT) or _TOO_ROUGH & says):
        said.append(
            f"That would spoil {tender[0]}: the label may be of another thing; "
            "tell the buyer to go by the cloth."
        )
    allowed = _ANSWERS.get(answer)
    if allowed and label.says and not allowed & says and says & (_WET | _DRY | {"none"}):
        said.append("The sign “Care label” is answered otherwise: one of the two is wrong.")
    return tuple(said)
