"""GPX tracks, read in a stream; a file that breaks off gives what came before.

Elements and units: GPX 1.1 schema documentation, 2004 (version 1.1 has no element of speed;
version 1.0 had one, in m/s, which many recorders still write as an extension).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any
from xml.etree import ElementTree

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.logs.block import Block, Tally
from slowflight.flights.logs.opening import LogText

BLOCK_ROWS = 5_000
_DECLARATION = re.compile(r"<\?xml.*?\?>")
_CHANNELS = ("latitude", "longitude", "altitude", "ground_speed", "track")


def read_gpx(text: LogText, tally: Tally) -> Iterator[Block]:
    """Read the track points of a GPX file.

    Parameters
    ----------
    text : LogText
        The opened file.
    tally : Tally
        Gets what had to be left out.

    Yields
    ------
    Block
        With ``rows`` holding lines of the file; each track begins a fresh block.

    Raises
    ------
    InputError
        Where it declares document types, which no recorder does.
    """
    parser: ElementTree.XMLPullParser[Any] = ElementTree.XMLPullParser(events=("start", "end"))
    open_elements: list[ElementTree.Element] = []
    points: list[tuple[float, ...]] = []
    lines: list[int] = []
    fresh = False
    for number, line in text.lines():
        if "<!DOCTYPE" in line or "<!ENTITY" in line:
            raise InputError(
                where=f"{text.path} line {number}", found="a document type", needed="a plain GPX track"
            )
        try:
            # The declaration names the encoding of the bytes; what arrives here is decoded already.
            parser.feed(_DECLARATION.sub("", line) + "\n")
            events: list[Any] = list(parser.read_events())
        except ElementTree.ParseError:
            tally.note("the file is damaged from here on; what came before is kept", number)
            break
        for event, element in events:
            tag = element.tag.rsplit("}", 1)[-1]
            if event == "start":
                open_elements.append(element)
                if tag == "trk" and points:
                    yield _block(points, lines, fresh=fresh)
                    points, lines, fresh = [], [], True
                continue
            open_elements.pop()
            if tag == "trkpt":
                points.append(_point(element))
                lines.append(number)
            if tag in ("trkpt", "wpt", "rtept", "trkseg", "trk") and open_elements:
                open_elements[-1].clear()  # else the tree of a long file would fill the memory
        if len(points) >= BLOCK_ROWS:
            yield _block(points, lines, fresh=fresh)
            points, lines, fresh = [], [], False
    else:
        try:
            parser.close()
        except ElementTree.ParseError:
            tally.note("the file breaks off; what came before is kept", lines[-1] if lines else 1)
    if points:
        yield _block(points, lines, fresh=fresh)


def _point(element: ElementTree.Element) -> tuple[float, ...]:
    values = dict.fromkeys(_CHANNELS, math.nan)
    values["latitude"] = math.radians(_float(element.get("lat")))
    values["longitude"] = math.radians(_float(element.get("lon")))
    time = math.nan
    for child in element.iter():
        tag = child.tag.rsplit("}", 1)[-1].lower()
        if tag == "time":
            time = _time(child.text)
        elif tag == "ele":
            values["altitude"] = _float(child.text)
        elif tag == "speed":
            values["ground_speed"] = _float(child.text)
        elif tag == "course":
            values["track"] = math.radians(_float(child.text))
    return (time, *values.values())


def _block(points: list[tuple[float, ...]], lines: list[int], *, fresh: bool) -> Block:
    table = np.array(points)
    return Block(
        time=table[:, 0],
        rows=np.array(lines, dtype=np.int64),
        channels={name: table[:, 1 + i] for i, name in enumerate(_CHANNELS)},
        fresh=fresh,
    )


def _float(text: str | None) -> float:
    try:
        return float((text or "").strip().replace(",", "."))
    except ValueError:
        return math.nan


def _time(text: str | None) -> float:
    try:
        moment = datetime.fromisoformat((text or "").strip())
    except ValueError:
        return math.nan
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()
