"""A closed solid as triangles, in millimeters, and the files that printers read."""

from __future__ import annotations

import io
import struct
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import numpy as np
import numpy.typing as npt

from slowflight.errors import SlowflightError
from slowflight.layout.files import replace_file
from slowflight.wing.outline import FloatArray

NOT_CERTIFIED = (
    "Trial part, predicted row, not proven in flight. Not for certified aircraft without approval. Nothing on"
    " a moving surface."
)
# Edges shorter than this are merged [mm].
FINEST = 2e-3
# Pockets between surfaces that all but touch are filled, as a share of the volume.
CRUMBS = 0.005
# A zip archive keeps times; the same solid is to give the same bytes.
_TIME = (2020, 1, 1, 0, 0, 0)
_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>"
)
_RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0"'
    ' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)


@dataclass(frozen=True, eq=False, kw_only=True)
class Solid:
    """A closed solid.

    Parameters
    ----------
    name : str
        In words, for the file.
    vertices : FloatArray
        [mm], shape (n, 3).
    triangles : IntArray
        Three vertices each, counterclockwise from outside, shape (m, 3).
    volume : float
        [mm3]
    moved : tuple of (float, float, float)
        By how much it was moved to lie at the origin, from where it was built [mm].
    """

    name: str
    vertices: FloatArray
    triangles: npt.NDArray[np.int64]
    volume: float
    moved: tuple[float, float, float]

    @property
    def size(self) -> tuple[float, float, float]:
        """Of the box round it [mm]."""
        x, y, z = np.ptp(self.vertices, axis=0)
        return float(x), float(y), float(z)


def closed(body: Any, *, name: str) -> Solid:
    """Take the triangles of a solid, lying on z = 0 and near the origin.

    Parameters
    ----------
    body : manifold3d.Manifold
        What was built [mm].
    name : str

    Returns
    -------
    Solid

    Raises
    ------
    SlowflightError
        Where the solid came out empty, in several pieces or not closed: never written to a file.

    Notes
    -----
    That library gives an empty solid without a word where an outline turned the wrong way round.
    """
    pieces = [] if body.is_empty() else sorted(body.decompose(), key=lambda piece: -abs(piece.volume()))
    crumbs = sum(abs(piece.volume()) for piece in pieces[1:])
    if not pieces or not pieces[0].volume() > 0.0 or crumbs > CRUMBS * pieces[0].volume():
        raise SlowflightError(
            f"{name}: the solid came out in {len(pieces)} pieces; please report this with your files"
        )
    body = pieces[0]
    mesh = body.simplify(FINEST).to_mesh()
    vertices = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    shift = -vertices.min(axis=0)
    vertices, triangles = _rounded(vertices + shift, np.asarray(mesh.tri_verts, dtype=np.int64))
    if not _is_closed(triangles):
        raise SlowflightError(f"{name}: the solid is not closed; please report this with your files")
    return Solid(
        name=name, vertices=vertices, triangles=triangles, volume=float(body.volume()),
        moved=(float(shift[0]), float(shift[1]), float(shift[2])),
    )  # fmt: skip


def _rounded(
    vertices: FloatArray, triangles: npt.NDArray[np.int64]
) -> tuple[FloatArray, npt.NDArray[np.int64]]:
    """What a file keeps: corners to a ten-thousandth of a millimeter, equal ones once, no empty triangle."""
    kept, where = np.unique(np.round(vertices, 4), axis=0, return_inverse=True)
    again = where.reshape(-1)[triangles]
    a, b, c = again.T
    return kept, again[(a != b) & (b != c) & (c != a)]


def _is_closed(triangles: npt.NDArray[np.int64]) -> bool:
    """Whether every edge is run along once each way."""
    edges = np.concatenate((triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]))
    there = np.unique(edges, axis=0)
    return len(there) == len(edges) and np.array_equal(np.unique(edges[:, ::-1], axis=0), there)


def write_stl(solid: Solid, path: Path | str) -> Path:
    """Write a solid as binary STL, which knows no unit: millimeters are meant.

    Source: 3D Systems, StereoLithography Interface Specification, 1988: 80 bytes of header, the number of
    facets, and for each its normal and corners as 32-bit floats with two bytes unused.

    Parameters
    ----------
    solid : Solid
    path : Path or str

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where the file cannot be written.
    """
    corners = solid.vertices[solid.triangles].astype("<f4")
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0.0)
    facets = np.zeros(len(corners), dtype=[("numbers", "<f4", (12,)), ("unused", "<u2")])
    facets["numbers"] = np.concatenate((normals[:, None, :], corners), axis=1).reshape(-1, 12)
    header = f"mm; not for certified aircraft without approval; {solid.name}".encode("ascii", "replace")
    content = header[:80].ljust(80) + struct.pack("<I", len(facets)) + facets.tobytes()
    return replace_file(path, content)


def write_3mf(solid: Solid, path: Path | str) -> Path:
    """Write a solid as 3MF, which carries its unit and words.

    Source: 3MF Consortium, 3MF Core Specification and Reference Guide, version 1.3.0, chapters 2 to 4.

    Parameters
    ----------
    solid : Solid
    path : Path or str

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where the file cannot be written.
    """
    vertices = "".join(f'<vertex x="{x:.5f}" y="{y:.5f}" z="{z:.5f}"/>' for x, y, z in solid.vertices)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in solid.triangles)
    model = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<model unit="millimeter" xml:lang="en-US" xmlns="{_CORE}">'
        f'<metadata name="Title">{escape(solid.name)}</metadata>'
        f'<metadata name="Description">{escape(NOT_CERTIFIED)}</metadata>'
        f'<resources><object id="1" type="model"><mesh><vertices>{vertices}</vertices>'
        f"<triangles>{triangles}</triangles></mesh></object></resources>"
        '<build><item objectid="1"/></build></model>'
    )
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (
            ("[Content_Types].xml", _TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", model),
        ):
            archive.writestr(zipfile.ZipInfo(name, _TIME), content, zipfile.ZIP_DEFLATED)
    return replace_file(path, written.getvalue())
