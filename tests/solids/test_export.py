"""Files read back by another program's reader (trimesh): closed, of the right size, in place."""

from __future__ import annotations

import io
import json
import struct
import zipfile
from xml.etree import ElementTree

import numpy as np
import pytest
import trimesh

from tablekit.relations.families import network
from tablekit.solids.export import (
    CORE_3MF,
    export,
    glb_bytes,
    stl_bytes,
    surfaces,
    threemf_bytes,
)
from tablekit.solids.fit import check_fit
from tablekit.solids.notched import two_notch_posts

TITLE = 'Table "for" <two> & more \x07'


@pytest.fixture(scope="module")
def sheet():
    return network("table").solve(
        {"table_height": 735, "top_diameter": 920, "post_section": 64, "splay": 41}
    )


@pytest.fixture(scope="module")
def parts(sheet):
    return surfaces(sheet)


@pytest.fixture(scope="module")
def volumes(sheet):
    return [part.volume for part in check_fit(sheet).parts]


def read_3mf(data: bytes) -> dict[str, tuple[trimesh.Trimesh, np.ndarray]]:
    """Parts by name, each with the shift its build item gives it."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        model = ElementTree.fromstring(archive.read("3D/3dmodel.model"))
    assert model.get("unit") == "millimeter"
    space = {"m": CORE_3MF}
    shifts = {
        item.get("objectid"): np.array([float(x) for x in item.get("transform").split()[9:]])
        for item in model.iterfind("m:build/m:item", space)
    }
    found = {}
    for entry in model.iterfind("m:resources/m:object", space):
        corners = [
            [float(vertex.get(axis)) for axis in "xyz"]
            for vertex in entry.iterfind("m:mesh/m:vertices/m:vertex", space)
        ]
        triangles = [
            [int(triangle.get(place)) for place in ("v1", "v2", "v3")]
            for triangle in entry.iterfind("m:mesh/m:triangles/m:triangle", space)
        ]
        mesh = trimesh.Trimesh(corners, triangles, process=False)
        found[entry.get("name")] = (mesh, shifts[entry.get("id")])
    return found


NAMES = ["post 1", "post 2", "post 3", "pad 1", "pad 2", "pad 3", "top"]


def test_3mf_is_closed_and_of_the_right_volume(parts, volumes):
    found = read_3mf(threemf_bytes(parts, TITLE))
    assert list(found) == NAMES
    for (mesh, shift), volume in zip(found.values(), volumes, strict=True):
        assert mesh.is_watertight and mesh.is_winding_consistent
        # Written to a nanometre; the thinnest part is 3 mm thick.
        assert mesh.volume == pytest.approx(volume, rel=1e-7)
        assert (mesh.bounds[0] + shift).min() >= -1e-6


def test_3mf_title_is_kept_but_for_what_xml_cannot_hold(parts):
    with zipfile.ZipFile(io.BytesIO(threemf_bytes(parts, TITLE))) as archive:
        assert archive.testzip() is None
        assert set(archive.namelist()) == {"[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"}
        model = ElementTree.fromstring(archive.read("3D/3dmodel.model"))
    assert model.find(f"{{{CORE_3MF}}}metadata").text == 'Table "for" <two> & more '


def test_glb_is_closed_in_metres_and_stands_on_y(parts, volumes, sheet):
    scene = trimesh.load(io.BytesIO(glb_bytes(parts, TITLE)), file_type="glb")
    assert sorted(scene.geometry) == sorted(NAMES)
    for name, volume in zip(NAMES, volumes, strict=True):
        mesh = scene.geometry[name]
        assert mesh.is_watertight and mesh.is_winding_consistent
        assert mesh.volume * 1e9 == pytest.approx(volume, rel=1e-6)
    # The whole scene, root turned: floor at y = 0, top at the table's height, in metres.
    low, high = scene.bounds
    assert low[1] == pytest.approx(0, abs=1e-6)
    assert high[1] == pytest.approx(0.735, abs=1e-6)
    assert high[0] - low[0] == pytest.approx(0.92, abs=1e-6)


def test_glb_follows_the_layout_of_the_standard(parts):
    # Khronos glTF 2.0, GLB file format: magic, version, length, 4-byte aligned chunks (from memory)
    data = glb_bytes(parts)
    magic, version, length = struct.unpack("<4sII", data[:12])
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack("<I4s", data[12:20])
    assert kind == b"JSON" and size % 4 == 0
    tree = json.loads(data[20 : 20 + size])
    binary, kind = struct.unpack("<I4s", data[20 + size : 28 + size])
    assert kind == b"BIN\0" and binary % 4 == 0
    assert tree["buffers"][0]["byteLength"] <= binary
    for view in tree["bufferViews"]:
        assert view["byteOffset"] + view["byteLength"] <= tree["buffers"][0]["byteLength"]


def test_stl_is_closed_and_says_its_unit(parts, volumes):
    for part, volume in zip(parts, volumes, strict=True):
        data = stl_bytes(part)
        assert b"millimetre" in data[:80] and not data.startswith(b"solid")
        assert len(data) == 84 + 50 * len(part.triangles)
        mesh = trimesh.load(io.BytesIO(data), file_type="stl")
        assert mesh.is_watertight and mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(volume, rel=1e-6)
        normals = np.frombuffer(data[84:], dtype=np.dtype([("f", "<f4", 12), ("s", "<u2")]))["f"]
        assert np.linalg.norm(normals[:, :3], axis=1) == pytest.approx(1, abs=1e-5)


def test_the_same_parts_give_the_same_bytes(sheet, parts):
    again = surfaces(sheet)
    assert threemf_bytes(again, "A") == threemf_bytes(parts, "A")
    assert glb_bytes(again, "A") == glb_bytes(parts, "A")
    assert [stl_bytes(part) for part in again] == [stl_bytes(part) for part in parts]


@pytest.mark.parametrize("form", ["3mf", "glb", "stl"])
def test_files_are_written_whole(form, sheet, tmp_path):
    paths = export(sheet, tmp_path, form, TITLE)
    assert sorted(paths) == sorted(tmp_path.iterdir())
    if form == "stl":
        assert {path.name for path in paths} == {f"{n.replace(' ', '-')}.stl" for n in NAMES}
    else:
        assert [path.name for path in paths] == [f"parts.{form}"]


def test_posts_alone_can_be_written(tmp_path):
    (path,) = export(two_notch_posts(64.0, 1000.0, None, 15.0, 15.0), tmp_path)
    found = read_3mf(path.read_bytes())
    assert list(found) == ["post 1", "post 2", "post 3"]
    assert all(mesh.is_watertight for mesh, _ in found.values())


def test_an_unknown_form_is_refused(sheet, tmp_path):
    with pytest.raises(ValueError, match="form 'obj' is not one"):
        export(sheet, tmp_path, "obj")
    assert not list(tmp_path.iterdir())


def test_nothing_is_left_behind_when_writing_fails(sheet, tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError("no room")

    monkeypatch.setattr("tablekit.solids.export.os.replace", refuse)
    with pytest.raises(OSError, match="no room"):
        export(sheet, tmp_path)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(("style", "edge"), [(None, "rounded"), ("splayed legs", "eased")])
def test_rounded_arrises_are_on_the_solid(style: str | None, edge: str) -> None:
    """Pappus: a corner of r² (1 − π/4) with its centroid r (10 − 3π)/(12 − 3π) from the sides of
    the square goes off twice, all round. Six flats to a quarter are 3 sin 15° = 0.776 of r² and
    not π/4 = 0.785, and so take a twenty-fourth more off."""
    radius, arris = 460.0, 6.0
    sheets = [one_with(style, name) for name in (edge, "square")]
    shaped, square = (
        next(trimesh.Trimesh(p.corners, p.triangles) for p in surfaces(s) if p.name == "top")
        for s in sheets
    )
    centroid = radius - arris * (10 - 3 * np.pi) / (12 - 3 * np.pi)
    off = 2 * arris**2 * (1 - np.pi / 4) * 2 * np.pi * centroid
    assert shaped.is_watertight
    assert square.volume - shaped.volume == pytest.approx(
        off * (1 - 3 * np.sin(np.pi / 12)) / (1 - np.pi / 4), rel=0.002
    )
    assert np.allclose(shaped.bounds, square.bounds)


def one_with(style: str | None, edge: str):
    given = {"table_height": 735, "top_diameter": 920, "top_thickness": 32}
    if edge != "square":
        given["edge_size"] = 6
    if style is None:
        given |= {"post_section": 64, "splay": 41}
    return network("table", style=style, edge=edge).solve(given)
