"""Pages of tufts: to place them in a picture, to score frames by key, and what came of both sides."""

from __future__ import annotations

import base64
import io
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from PIL import Image

from slowflight.report.extras import require_extras
from slowflight.report.written_page import write_page

WIDEST = 1280  # of a frame on a page [pixels]
QUALITY = 82


def write_place_page(picture: Image.Image, names: Sequence[str], *, name: str, folder: Path) -> Path:
    """Write the page on which each tuft is clicked, base and tip.

    Parameters
    ----------
    picture : Image
        A frame with all tufts attached.
    names : sequence of str
        Tufts of the plan, in its order.
    name : str
        Of the film.
    folder : Path
        For the page.

    Returns
    -------
    Path
    """
    return _written(
        "tuft_place.html",
        folder / f"place-{name}.html",
        film=name,
        frame=_embedded(picture),
        width=picture.width,
        height=picture.height,
        names=_script(list(names)),
    )


def write_score_page(
    frames: Sequence[tuple[float, Image.Image]],
    tufts: Sequence[Mapping[str, Any]],
    *,
    keys: Mapping[str, str],
    name: str,
    folder: Path,
) -> Path:
    """Write the page on which tufts are scored by one key each.

    Parameters
    ----------
    frames : sequence of (float, Image)
        Time of the window's middle [s], and its frame.
    tufts : sequence of mapping
        To be scored: ``name``, and ``base`` and ``tip`` in pixels.
    keys : mapping of str to str
        State by key.
    name : str
        Of the film.
    folder : Path
        For the page.

    Returns
    -------
    Path
    """
    return _written(
        "tuft_score.html",
        folder / f"score-{name}.html",
        film=name,
        frames=_script([{"time": time, "uri": _embedded(picture)} for time, picture in frames]),
        width=frames[0][1].width if frames else 1,
        height=frames[0][1].height if frames else 1,
        tufts=_script([dict(one) for one in tufts]),
        keys=_script(dict(keys)),
    )


def write_tuft_page(
    record: Mapping[str, Any], shown: Sequence[tuple[str, Image.Image]], *, file: Path
) -> Path:
    """Write the page of what came of the tufts.

    Parameters
    ----------
    record : mapping
        As kept in ``tufts.json``.
    shown : sequence of (str, Image)
        Both sides at equal speeds, fastest first, each with its head line.
    file : Path
        The page.

    Returns
    -------
    Path

    Raises
    ------
    SlowflightError
        Where the report's own libraries are not installed, or the page cannot be written.
    """
    require_extras()
    # Only now: it draws, and drawing is an extra.
    from slowflight.report.pictures.tufts import draw_maps, draw_separation

    unit = record["unit"]
    per = unit.replace("/", "_per_")
    usable = [film for film in record["films"] if film["speeds"]]
    return _written(
        "tuft_page.html",
        file,
        record=record,
        per=per,
        maps=[(film, draw_maps(film, record["plan"]["tufts"], unit=unit, per=per)) for film in usable],
        separation=draw_separation(usable, unit=unit, per=per) if usable else None,
        shown=_script([{"head": head, "uri": _embedded(picture)} for head, picture in shown]),
        pairs=len(shown),
        first=_embedded(shown[0][1]) if shown else "",
    )


def _script(data: object) -> str:
    """Return data as it may stand in a page's script: nothing in it can end that script."""
    require_extras()
    # Comes with the templates' library, which is an extra.
    from markupsafe import Markup

    return Markup(json.dumps(data).replace("<", "\\u003c"))


def _embedded(picture: Image.Image) -> str:
    shown = picture.convert("RGB")
    if shown.width > WIDEST:
        shown = shown.resize((WIDEST, round(shown.height * WIDEST / shown.width)))
    file = io.BytesIO()
    shown.save(file, format="JPEG", quality=QUALITY)
    return f"data:image/jpeg;base64,{base64.b64encode(file.getvalue()).decode('ascii')}"


def _written(template: str, file: Path, **values: Any) -> Path:
    require_extras()
    # Only now: the templates' library is an extra.
    from slowflight.report.render import environment

    text = environment().get_template(template).render(**values)
    return write_page(text, file, what="tufts")
