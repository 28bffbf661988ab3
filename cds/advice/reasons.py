"""Why a finding was raised, as lines; and what became of each item of a published scale.

Takes the tree of criteria that an advice holds. Gives one phrase for each criterion that tells: value, comparator,
limit, band, whose limit it is. Judges nothing and leaves out what does not tell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from cds.advice.terms import COMPARATORS, context, label, say_code, say_reasons, say_word

Node = Mapping[str, Any]
TOLD = ("met", "not met", "not charted", "not representable", "cannot tell")


def reasons(because: Node) -> list[str]:
    """One phrase for each criterion behind a finding, each once; what only could be is told where nothing is met."""
    is_open = because.get("verdict") == "cannot-tell"
    told = list(dict.fromkeys(_walk(because, is_open)))
    fuller = [said for said in told if not any(other.startswith(f"{said}: ") for other in told)]
    return [said for said in fuller if not said.startswith("age ")] or fuller


def _walk(node: Node, is_open: bool) -> Iterator[str]:
    if node["verdict"] == "not-met" or (node["verdict"] == "cannot-tell" and not is_open):
        return
    if node.get("how") == "none":
        yield f"none of: {', '.join(name(part) for part in node['parts'])}"
        return
    for part in node.get("parts", ()):
        yield from _walk(part, is_open)
    if "parts" not in node:
        yield from leaf(node, is_open)


def leaf(node: Node, is_open: bool = True) -> Iterator[str]:
    """The phrases of one criterion: one for each reading that tells, or what it asks where nothing was read."""
    told = [reading for reading in node.get("readings", ()) if is_open or reading["verdict"] == "met"]
    for reading in told:
        yield f"{_reading(node, reading)}{_past(node)}"
    if not told:
        yield _unread(node)


def _past(node: Node) -> str:
    """What an earlier entry answered: the one that repeats it, or the last one that tells."""
    if node.get("repeats"):
        return f"; also in entry {node['repeats']}"
    if "unanswered" in node:
        asked = node["unanswered"]
        return f"; in entry {asked['entry']}, due again within {asked['after']}, not charted since"
    if "was" not in node:
        return ""
    then = node.get("before")
    if then is None:
        return "; not told before"
    return f"; before, in entry {then['entry']}: {_value(then)}"


def _value(reading: Node) -> str:
    """A number as it stands, a word in words."""
    return str(reading["value"]) if reading.get("limits") else say_word(reading["value"])


def name(node: Node) -> str:
    """A part of a condition in a few words."""
    named = node.get("item") or node.get("title")
    if named:
        return str(named)
    if "parts" in node:
        joint = " or " if node["how"] == "any" else " and "
        return joint.join(name(part) for part in node["parts"]) or "parts that are not met"
    return _asked(node)


def _asked(node: Node) -> str:
    """What a criterion asks, without its answer."""
    if "finding" in node:
        return f"finding {say_code(node['finding'])}"
    if "band" in node:
        return f"age {' or '.join(say_word(band) for band in node['band'])}"
    if "not_representable" in node:
        return str(node["not_representable"])
    subject = next(node[key] for key in ("observed", "derived", "score", "care") if key in node)
    wanted = " or ".join(say_word(word) for word in node.get("wanted", ()))
    due = f" due again within {node['unanswered']['after']}" if "unanswered" in node else ""
    return f"{say_code(subject)} {wanted}".rstrip() + due


def _unread(node: Node) -> str:
    if "care" in node and node.get("charted"):
        return f"{say_word(node['care'])} {say_word(node['charted'])}"
    if node["verdict"] == "cannot-tell":
        return f"{_asked(node)}: {say_reasons(node.get('reasons', ()))}"
    return _asked(node)


def _reading(node: Node, reading: Node) -> str:
    subject = say_code(next(node[key] for key in ("observed", "derived", "score") if key in node))
    value = _value(reading)
    names_itself = value.startswith(subject) or ("derived" in node and bool(reading.get("limits")))
    charted = value if names_itself else f"{subject} {value}"
    around = context(reading.get("context", {}))
    held = _limits(reading)
    return f"{charted}{f' ({around})' if around else ''}{held}"


def _limits(reading: Node) -> str:
    limits = [limit for limit in reading.get("limits", ()) if not limit["limit"].startswith("no limit")]
    if not limits:
        return f": {reading['limits'][0]['limit']}" if reading.get("limits") else _doubt(reading)
    said = " or ".join(dict.fromkeys(_limit(limit) for limit in limits))
    return f": {_held(reading)} {said}{_doubt(reading)}"


def _held(reading: Node) -> str:
    """How the value stands to its limits; without one comparator for all of them, that it was held against them."""
    comparator = reading.get("comparator")
    return f"{_IS[reading['verdict']]} {COMPARATORS[comparator]}" if comparator else "held against"


_IS = {"met": "is", "not-met": "is not", "cannot-tell": "could be"}


def _doubt(reading: Node) -> str:
    return f"; {say_reasons(reading['reasons'])}" if reading.get("reasons") else ""


def _limit(limit: Node) -> str:
    cited = f", {label(limit['source']['ref'])}" if limit.get("source") else ""
    whose = f"{limit['words']}; base limit" if limit["set_by"] == "base" else limit["set_by"]
    return f"{limit['limit']} ({whose}{cited})"


def items(finding: Node) -> list[tuple[str, str]]:
    """Each item of a published scale with what became of it, in the order of the scale.

    Takes a finding of a scale. An item that is met has its values beside it, one that cannot be told its reasons.
    """
    nodes = {node["item"]: node for node in _labelled(finding["because"])}
    return [(each["verdict"], _item(each, nodes.get(each["item"]))) for each in finding["scale"]["items"]]


def _labelled(node: Node) -> Iterator[Node]:
    if "item" in node:
        yield node
        return
    for part in node.get("parts", ()):
        yield from _labelled(part)


def _item(each: Node, node: Node | None) -> str:
    told: list[str] = []
    if node is not None and each["verdict"] == "met":
        told = list(dict.fromkeys(_values(node)))
    elif node is not None and each["verdict"] == "cannot tell":
        told = [say_reasons(node["reasons"])]
    return f"{each['item']} ({', '.join(told)})" if told else str(each["item"])


def _values(node: Node) -> Iterator[str]:
    for reading in node.get("readings", ()):
        if reading["verdict"] == "met":
            yield _value(reading)
    for part in node.get("parts", ()):
        if part["verdict"] == "met":
            yield from _values(part)
