"""The parts as files for other programs: STL, glTF (.glb) and 3MF.

Each part is written as its own closed surface, in place, z up from the floor. The same parts always
give the same bytes.

* 3MF says its unit: millimetre (3MF Core Specification 1.3, model element; from memory).
* glTF is in metres with y up by its standard (Khronos glTF 2.0, section 3.4, from memory); the
  scene's root turns the parts upright.
* STL has no unit; millimetres, said in the header, one file to a part.
"""

from __future__ import annotations

import io
import json
import os
import re
import struct
import tempfile
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import RangeError
from tablekit.solids.cutting import Surface, surfaces_of
from tablekit.solids.model import Model
from tablekit.solids.notched import NotchedPost, notched_posts
from tablekit.solids.piece import Solids

Array = NDArray[np.float64]

FORMS = ("3mf", "glb", "stl")
# The oldest date a zip archive can hold: the same bytes whenever it is written.
LONG_AGO = (1980, 1, 1, 0, 0, 0)
CORE_3MF = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
RELATIONSHIPS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="model" Target="/3D/3dmodel.model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
# Half the square root of two: a quarter turn back about x takes z up to y up.
Z_UP_TO_Y_UP = [-(0.5**0.5), 0.0, 0.0, 0.5**0.5]
FLOATS, UNSIGNED, ARRAY_BUFFER, ELEMENT_BUFFER = 5126, 5125, 34962, 34963


def surfaces(source: Model | Solids | Sequence[NotchedPost] | Any) -> tuple[Surface, ...]:
    """Posts as they are cut, pads and top, of a sheet, its solids or model, or a list of notched
    posts.

    Raises DesignError where manifold3d is missing, and what `tablekit.solids.model.build` raises.
    """
    if isinstance(source, Sequence):
        return surfaces_of(source)
    if isinstance(source, Model):
        return surfaces_of(notched_posts(source), source.pads_and_top)
    return Solids.of(source).surfaces


def stl_bytes(surface: Surface) -> bytes:
    """One part as binary STL, mm."""
    corners = surface.corners[surface.triangles].astype("<f4")
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(across, axis=1, keepdims=True)
    record = np.zeros(
        len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")]
    )
    record["normal"] = across / np.where(lengths > 0, lengths, 1)
    record["corners"] = corners
    header = f"tablekit: {surface.name}; unit: millimetre".encode("ascii", "replace")[:80]
    return header.ljust(80, b" ") + struct.pack("<I", len(corners)) + record.tobytes()


def glb_bytes(parts: Sequence[Surface], title: str = "") -> bytes:
    """All parts as one binary glTF: metres, y up."""
    views, accessors, chunks = [], [], []
    start = 0
    for part in parts:
        points = (part.corners / 1000).astype("<f4")
        numbers = part.triangles.astype("<u4").reshape(-1)
        bounds = {"min": points.min(axis=0).tolist(), "max": points.max(axis=0).tolist()}
        for array, target, kind, more in (
            (points, ARRAY_BUFFER, (FLOATS, "VEC3"), bounds),
            (numbers, ELEMENT_BUFFER, (UNSIGNED, "SCALAR"), {}),
        ):
            chunks.append(array.tobytes())
            views.append(
                {"buffer": 0, "byteOffset": start, "byteLength": array.nbytes, "target": target}
            )
            accessors.append(
                {"bufferView": len(views) - 1, "componentType": kind[0], "count": len(array),
                 "type": kind[1], **more}
            )  # fmt: skip
            start += array.nbytes
    return _glb(_gltf(parts, title, views, accessors, start), b"".join(chunks))


def _gltf(
    parts: Sequence[Surface], title: str, views: list[Any], accessors: list[Any], length: int
) -> dict[str, Any]:
    count = len(parts)
    nodes: list[dict[str, Any]] = [{"mesh": k, "name": part.name} for k, part in enumerate(parts)]
    root = {"name": title or "piece", "rotation": Z_UP_TO_Y_UP, "children": list(range(count))}
    return {
        "asset": {"version": "2.0", "generator": "tablekit"},
        "scene": 0,
        "scenes": [{"nodes": [count]}],
        "nodes": [*nodes, root],
        "meshes": [
            {
                "name": part.name,
                "primitives": [{"attributes": {"POSITION": 2 * k}, "indices": 2 * k + 1}],
            }
            for k, part in enumerate(parts)
        ],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": length}],
    }


def _glb(tree: Mapping[str, Any], binary: bytes) -> bytes:
    text = json.dumps(tree, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    binary += b"\0" * (-len(binary) % 4)
    total = 12 + 8 + len(text) + 8 + len(binary)
    return b"".join(
        [
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(text), b"JSON"), text,
            struct.pack("<I4s", len(binary), b"BIN\0"), binary,
        ]
    )  # fmt: skip


def threemf_bytes(parts: Sequence[Surface], title: str = "") -> bytes:
    """All parts as one 3MF package, mm."""
    low = np.min([part.corners.min(axis=0) for part in parts], axis=0)
    # Slicers want everything on the positive side of all three axes.
    shift = " ".join(f"{-value + 0.0:.6f}" for value in low)
    objects = "".join(_object(k + 1, part) for k, part in enumerate(parts))
    items = "".join(
        f'<item objectid="{k + 1}" transform="1 0 0 0 1 0 0 0 1 {shift}"/>'
        for k in range(len(parts))
    )
    model = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<model unit="millimeter" xml:lang="en" xmlns="{CORE_3MF}">'
        f'<metadata name="Title">{escape(_plain(title))}</metadata>'
        f"<resources>{objects}</resources><build>{items}</build></model>"
    )
    package = io.BytesIO()
    with zipfile.ZipFile(package, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in (
            ("[Content_Types].xml", CONTENT_TYPES),
            ("_rels/.rels", RELATIONSHIPS),
            ("3D/3dmodel.model", model),
        ):
            entry = zipfile.ZipInfo(name, LONG_AGO)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, text)
    return package.getvalue()


def _object(number: int, part: Surface) -> str:
    corners = "".join(f'<vertex x="{x:.6f}" y="{y:.6f}" z="{z:.6f}"/>' for x, y, z in part.corners)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in part.triangles)
    return (
        f'<object id="{number}" type="model" name={quoteattr(_plain(part.name))}>'
        f"<mesh><vertices>{corners}</vertices><triangles>{triangles}</triangles></mesh></object>"
    )


def _plain(text: str) -> str:
    """Without the control characters that XML cannot hold."""
    return re.sub(r"[^\t\n\r\x20-\uD7FF\uE000-\uFFFD\U00010000-\U0010FFFF]", "", text)


def export(
    source: Model | Solids | Sequence[NotchedPost] | Any,
    folder: str | Path,
    form: str = "3mf",
    title: str = "",
) -> tuple[Path, ...]:
    """Write the parts into a folder, which must exist; the paths written.

    form   "3mf" or "glb": one file, parts.3mf or parts.glb; "stl": a file for each part
    title  said inside the file where the format has a place for it

    Raises RangeError for another form, OSError where the folder cannot be written, and what
    `surfaces` raises. A file appears whole or not at all.
    """
    if form not in FORMS:
        raise RangeError(f"form {form!r} is not one the parts can be written in; use {FORMS}")
    parts = source.surfaces if isinstance(source, Solids) else surfaces(source)
    if form == "stl":
        files = {f"{part.name.replace(' ', '-')}.stl": stl_bytes(part) for part in parts}
    else:
        files = {f"parts.{form}": (threemf_bytes if form == "3mf" else glb_bytes)(parts, title)}
    return tuple(_write_whole(Path(folder) / name, data) for name, data in files.items())


def _write_whole(path: Path, data: bytes) -> Path:
    handle, rough = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=path.suffix)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.chmod(rough, 0o644)
        os.replace(rough, path)
    except BaseException:
        Path(rough).unlink(missing_ok=True)
        raise
    return path
