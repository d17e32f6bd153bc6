"""TTML and IMSC.

In: the text of a file. Out: drafts, one for each stretch of a paragraph with one time, its voices apart.
Refuses: elements whose times cannot be read and paragraphs that have none, each reported; XML that does not
parse, that declares entities or nests deeper than 100, and what is no TTML (InputError).

Time expressions, frame and tick rates are read by ttconv. What contains what is worked out here, by W3C
TTML2, section "Timing": ttconv 1.2.3 loses paragraphs in a container that has a begin and no end, and its
model keeps neither speakers (`ttm:agent`) nor lines.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import groupby
from typing import Any
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from earwitness.pipeline.read.findings import Draft, Findings, Part, excerpt

TIMING_FORM = "begin and end as TTML time expressions, such as 00:00:01.500, 45f, 90t or 12.5s"
FILE_FORM = "a TTML document (root element tt)"

_TT = "http://www.w3.org/ns/ttml"
_METADATA = _TT + "#metadata"
_OLD_TT = "http://www.w3.org/2006/"
_XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_AGENT = f"{{{_METADATA}}}agent"
_RUBY = f"{{{_TT}#styling}}ruby"
_GLOSS = ("text", "textContainer", "delimiter")
_CONTAINERS = tuple(f"{{{_TT}}}{name}" for name in ("body", "div", "p", "span"))
_PARAGRAPH, _BREAK = f"{{{_TT}}}p", f"{{{_TT}}}br"
_TIMES = ("begin", "end", "dur")
_MAX_DEPTH = 100

_ReadTime = Callable[[str], Fraction]


@dataclass(frozen=True, slots=True)
class _Scope:
    """What an element takes over from the one around it.

    Args:
        reference: seconds from which its times count.
        end: seconds at which the elements around it end, or None.
        timed: whether any of them states a time.
        speaker: who speaks unless it says otherwise.
    """

    reference: Fraction = Fraction(0)
    end: Fraction | None = None
    timed: bool = False
    speaker: str | None = None


@dataclass(slots=True)
class _Stretch:
    """Text under way inside a paragraph."""

    start: Fraction
    end: Fraction | None
    speaker: str | None
    pieces: list[str] = field(default_factory=list)

    def part(self) -> Part:
        return Part(tuple("".join(self.pieces).split("\n")), self.speaker)


@dataclass(slots=True)
class _Document:
    """A parsed file and what has been read from it."""

    root: Element
    lines: dict[Element, int]
    findings: Findings
    read_time: _ReadTime
    agents: dict[str, str] = field(default_factory=dict)
    drafts: list[Draft] = field(default_factory=list)


def read_ttml(text: str, findings: Findings) -> list[Draft]:
    """Read a TTML document into drafts; what cannot be used goes to `findings`.

    Raises:
        InputError: no well-formed XML, or no TTML.
    """
    root, lines = _parse(text, findings)
    if root.tag != f"{{{_TT}}}tt":
        raise findings.refuse(lines[root], "the root element is not tt", FILE_FORM)
    with _heard_log(findings):
        document = _Document(root, lines, findings, _time_reader(root, findings))
        document.agents = _read_agents(root)
        for body in root.findall(f"{{{_TT}}}body"):
            _visit(body, _Scope(), document, None)
    return document.drafts


def _parse(text: str, findings: Findings) -> tuple[Element, dict[Element, int]]:
    """The root element, and the line each element begins on."""
    parser = expat.ParserCreate("utf-8", "}")
    parser.buffer_text = True
    builder = TreeBuilder()
    lines: dict[Element, int] = {}
    depth = 0

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > _MAX_DEPTH:
            raise findings.refuse(parser.CurrentLineNumber, f"elements nested deeper than {_MAX_DEPTH}", FILE_FORM)
        named = {_namespaced(name) if "}" in name else name: value for name, value in attributes.items()}
        lines[builder.start(_namespaced(tag), named)] = parser.CurrentLineNumber

    def end(tag: str) -> None:
        nonlocal depth
        depth -= 1
        builder.end(_namespaced(tag))

    def refuse_entity(*_: object) -> None:
        raise findings.refuse(parser.CurrentLineNumber, "the XML declares entities", "TTML without them")

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = builder.data
    parser.EntityDeclHandler = refuse_entity
    try:
        parser.Parse(text.encode("utf-8", errors="replace"), True)
    except expat.ExpatError as error:
        reason = f"not well-formed XML: {expat.errors.messages[error.code]}"
        raise findings.refuse(error.lineno, reason, FILE_FORM) from error
    return builder.close(), lines


def _namespaced(name: str) -> str:
    """The name in today's TTML namespace; drafts of 2006 and files without a namespace are taken as TTML."""
    space, bar, local = name.rpartition("}")
    if not bar:
        return f"{{{_TT}}}{local}"
    if space.startswith(_OLD_TT) and "ttaf1" in space:
        space = _TT + ("#" + space.partition("#")[2] if "#" in space else "")
    return f"{{{space}}}{local}"


def _time_reader(root: Element, findings: Findings) -> _ReadTime:
    """ttconv's reader of time expressions, set to the document's frame and tick rate."""
    from ttconv.imsc.attributes import (  # slow to import, and only this format needs it
        FrameRateAttribute,
        TemporalAttributeParsingContext,
        TickRateAttribute,
        parse_time_expression,
    )

    try:
        rates = (FrameRateAttribute.extract(root), TickRateAttribute.extract(root))
    except (ValueError, ArithmeticError) as error:
        raise findings.refuse(1, f"frame or tick rate cannot be read: {error}", FILE_FORM) from error
    context: Any = TemporalAttributeParsingContext(*rates)
    return lambda written: Fraction(parse_time_expression(context, written, False))


def _read_agents(root: Element) -> dict[str, str]:
    """Agent id to the agent's name, or to the id where it has none."""
    agents: dict[str, str] = {}
    for agent in root.iter(_AGENT):
        name = " ".join((agent.findtext(f"{{{_METADATA}}}name") or "").split())
        agents[agent.get(_XML_ID, "")] = name or agent.get(_XML_ID, "")
    return agents


def _visit(element: Element, scope: _Scope, document: _Document, stretches: list[_Stretch] | None) -> Fraction | None:
    """Read an element and what is in it.

    Args:
        element: a body, div, p or span.
        scope: what surrounds it.
        document: takes drafts and problems.
        stretches: text of the paragraph it is in, or None outside one.

    Returns:
        When it ends (seconds); None when that is open.
    """
    try:
        times = {name: document.read_time(element.get(name, "")) for name in _TIMES if element.get(name)}
    except (ValueError, ArithmeticError):
        written = " ".join(f"{name}={element.get(name)}" for name in _TIMES if element.get(name))
        reason = f"time cannot be read: {excerpt(written)}"
        document.findings.skip(document.lines[element], reason, TIMING_FORM)
        return None
    begin = scope.reference + times.get("begin", Fraction(0))
    ends = [scope.reference + times["end"]] if "end" in times else []
    ends += [begin + times["dur"]] if "dur" in times else []
    own_end = min(ends, default=None)
    referred = element.get(_AGENT, "").split()
    inner = _Scope(
        reference=begin,
        end=min([end for end in (own_end, scope.end) if end is not None], default=None),
        timed=scope.timed or bool(times),
        speaker=", ".join(document.agents.get(one, one) for one in referred) or scope.speaker,
    )
    if element.tag == _PARAGRAPH:
        content_end = _visit_paragraph(element, inner, document)
    else:
        content_end = _visit_content(element, inner, document, stretches)
    return content_end if own_end is None else own_end


def _visit_paragraph(element: Element, scope: _Scope, document: _Document) -> Fraction | None:
    line = document.lines[element]
    has_text = bool("".join(element.itertext()).strip())
    if has_text and not scope.timed and not any(name in one.attrib for one in element.iter() for name in _TIMES):
        document.findings.skip(line, "paragraph without any time", TIMING_FORM)
        return None
    stretches: list[_Stretch] = []
    end = _visit_content(element, scope, document, stretches)
    for (begins, ends), voices in groupby(stretches, key=lambda stretch: (stretch.start, stretch.end)):
        parts = tuple(voice.part() for voice in voices)
        if any(part.text.strip() for part in parts):
            document.drafts.append(Draft(float(begins), None if ends is None else float(ends), parts, line))
    return end


def _visit_content(
    element: Element, scope: _Scope, document: _Document, stretches: list[_Stretch] | None
) -> Fraction | None:
    """Text and children of an element, in sequence or all from its begin; returns when the last ends."""
    in_sequence = element.get("timeContainer") == "seq"
    latest: Fraction | None = scope.reference
    if stretches is not None:
        _add_text(element.text, scope, stretches)
    for child in element:
        if child.tag in _CONTAINERS and child.get(_RUBY) not in _GLOSS:
            if in_sequence and latest is None:
                reason = f"{child.tag.rpartition('}')[2]} in a sequence, after one without an end"
                document.findings.skip(document.lines[child], reason, TIMING_FORM)
                continue
            reference = latest if in_sequence and latest is not None else scope.reference
            ended = _visit(child, replace(scope, reference=reference), document, stretches)
            if in_sequence or ended is None or latest is None:
                latest = ended if in_sequence else None
            else:
                latest = max(latest, ended)
        if stretches is not None:
            _add_text("\n" if child.tag == _BREAK else None, scope, stretches)
            _add_text(child.tail, scope, stretches)
    own_text = [element.text, *(child.tail for child in element)] if stretches is not None else []
    # Text in a parallel container lasts as long as what surrounds it.
    return None if not in_sequence and any(text and text.strip() for text in own_text) else latest


def _add_text(text: str | None, scope: _Scope, stretches: list[_Stretch]) -> None:
    """Text with the time and speaker of what is before it joins that; white space joins whatever is there."""
    if not text:
        return
    piece = text if text == "\n" else text.replace("\n", " ")
    here = (scope.reference, scope.end, scope.speaker)
    last = stretches[-1] if stretches else None
    if last and (not piece.strip() or (last.start, last.end, last.speaker) == here):
        last.pieces.append(piece)
    else:
        stretches.append(_Stretch(*here, [piece]))


@contextmanager
def _heard_log(findings: Findings) -> Iterator[None]:
    """What ttconv says in its log becomes a note, once each, and not a line on the terminal."""
    said: set[str] = set()

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            reason = f"ttconv: {record.getMessage()}"
            if reason not in said:
                said.add(reason)
                findings.note(0, reason)

    logger, listener = logging.getLogger("ttconv"), Listener()
    passed_on = logger.propagate
    logger.addHandler(listener)
    logger.propagate = False
    try:
        yield
    finally:
        logger.removeHandler(listener)
        logger.propagate = passed_on
