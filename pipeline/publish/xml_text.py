"""XML as text: indented, UTF-8, without the characters that XML cannot hold."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

_NOT_IN_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def serialised(root: ET.Element) -> bytes:
    """The document, which may then be parsed by any reader."""
    for element in root.iter():
        element.text = element.text and clean(element.text)
        for name, value in element.attrib.items():
            element.set(name, clean(value))
    ET.indent(root, " ")
    body: str = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'.encode("utf-8", "replace")


def clean(text: str) -> str:
    """Text without what XML 1.0 cannot hold (its section 2.2)."""
    return _NOT_IN_XML.sub("\N{REPLACEMENT CHARACTER}", text)
