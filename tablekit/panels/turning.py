"""The parts to be turned about and pulled apart with a slider.

It only reads its slider, asks the solids where each part stands, and moves meshes made once.
"""

from __future__ import annotations

import html
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import ipywidgets as widgets
import k3d

from tablekit.drawing import style
from tablekit.engine.sheet import Sheet
from tablekit.panels.controls import LABEL, focus_seen, heard, styled
from tablekit.panels.panel import Panel
from tablekit.solids.camera import Extent, fitted, following
from tablekit.solids.piece import Solids
from tablekit.solids.pulling import Pulling, placing, pulled_apart

# From the front, a little above, in degrees: turned from x, and down from plumb.
YAW, PITCH = -52, 66
# A finger that goes up or down scrolls the page; across, it turns the piece.
SCROLLED = ".tablekit-turning canvas { touch-action: pan-y !important; }"


def _tone(name: str) -> str:
    """The tone of a part by its name: "post 1", "leg 4" …, each numbered one another than the
    last; pads and top are alike."""
    part, _, number = name.partition(" ")
    if part not in ("post", "leg"):
        return style.TOP_TONE
    return style.POST_TONES[(int(number) - 1) % len(style.POST_TONES)]


def _colour(tone: str) -> int:
    return int(tone.removeprefix("#"), 16)


class TurningView(Panel):
    """Posts or legs, pads and top of a sheet, pulled apart by a slider, numbered and shaded.

    slider   0 in place, 100 wholly apart
    zoom     how near, per cent; the wheel is left to the page
    words    whether and in which order they go together
    plot     the view itself; meshes and labels in it are made once and moved

    Raises what `tablekit.solids.pulling.pulling` raises.
    """

    def __init__(self, sheet: Sheet):
        super().__init__(sheet.name)
        self.pulling: Pulling = Solids(sheet).pulling
        self.plot = k3d.plot(
            background_color=_colour(style.PAPER), label_color=_colour(style.INK),
            grid_visible=False, menu_visibility=False, camera_up_axis="z", axes_helper=0,
            height=520,
            # The wheel is the page's, which is scrolled by it; the slider below zooms.
            camera_no_zoom=True,
        )  # fmt: skip
        self._seen: Extent | None = None
        self.meshes: dict[str, Any] = {}
        self.labels: list[Any] = []
        self.slider = widgets.IntSlider(
            min=0,
            max=100,
            description="Exploded, %",
            style=LABEL,
            layout={"width": "420px", "max_width": "98%"},
        )
        heard(self.slider, lambda _: self._place())
        self.zoom = widgets.IntSlider(
            value=100, min=50, max=300, step=10, description="Zoom, %", style=LABEL,
            layout={"width": "420px", "max_width": "98%"},
        )  # fmt: skip
        heard(self.zoom, lambda _: self._follow())
        self.words = widgets.HTML()
        parts = [self.slider, self.zoom, self.plot, self.words, focus_seen(), styled(SCROLLED)]
        self.widget = widgets.VBox(parts)
        self.widget.add_class("tablekit-turning")
        self._write()
        self._fit()

    def update(self, sheet: Sheet) -> None:
        """Show another sheet in the same view, seen from where the maker stands.

        On an error, which is raised, the last good view stays.
        """
        self.pulling = Solids(sheet).pulling
        self.piece = sheet.name
        self._write()

    @property
    def text(self) -> str:
        """What a reader without a running kernel is told, with how the parts go together."""
        return f"{super().text} {self.pulling.words}"

    def _make_labels(self) -> None:
        """As many as there are posts or legs; those that are there already are kept."""
        for post in self.pulling.posts[len(self.labels) :]:
            label = k3d.text(
                str(post.number), position=(0, 0, 0), color=_colour(style.INK),
                reference_point="cc", size=0.8, name=f"number {post.number}",
            )  # fmt: skip
            self.labels.append(label)
            self.plot += label

    def _write(self) -> None:
        """Shapes and words of the sheet, then where the parts stand."""
        parts = {part.name: part for part in self.pulling.parts}
        for name, part in parts.items():
            if name not in self.meshes:
                self._make_mesh(name, part)
        self._make_labels()
        with self._together():
            for name, mesh in self.meshes.items():
                # A sheet may have no pads, and the next one have them again.
                mesh.visible = name in parts
                if name in parts:
                    mesh.vertices = parts[name].corners.astype("float32")
                    mesh.indices = parts[name].triangles.astype("uint32")
            for number, label in enumerate(self.labels):
                label.visible = number < len(self.pulling.posts)
            self._place()
        self.offline = f"a view to turn, with a slider that explodes it ({', '.join(parts)})."
        self.words.value = f'<div style="line-height:1.4">{html.escape(self.pulling.words)}</div>'

    def _make_mesh(self, name: str, part: Any) -> None:
        self.meshes[name] = k3d.mesh(
            part.corners.astype("float32"), part.triangles.astype("uint32"),
            color=_colour(_tone(name)), flat_shading=True, name=name,
        )  # fmt: skip
        self.plot += self.meshes[name]

    def _place(self) -> None:
        offsets = pulled_apart(self.pulling.turns, self.slider.value / 100)
        with self._together():
            for part, offset in zip(self.pulling.parts, offsets, strict=True):
                self.meshes[part.name].model_matrix = placing(offset)
            for label, mark, offset in zip(self.labels, self.pulling.marks, offsets, strict=False):
                label.position = (mark + offset).tolist()
        self._follow()

    def _fit(self) -> None:
        """Once, filling the frame; from then on the maker turns the camera."""
        self._seen, self._near = self._extent(), self.zoom.value
        self.plot.camera = fitted(self._seen, YAW, PITCH, self.plot.camera_fov)
        self.plot.camera_auto_fit = False

    def _follow(self) -> None:
        """The camera goes as far off as fills the frame, seen from where the maker turned it to."""
        if self._seen is None:  # not fitted yet
            return
        now, nearer = self._extent(), self.zoom.value / self._near
        self.plot.camera = following(self.plot.camera, self._seen, now, nearer)
        self._seen, self._near = now, self.zoom.value

    def _extent(self) -> Extent:
        offsets = pulled_apart(self.pulling.turns, self.slider.value / 100)
        pairs = zip(self.pulling.parts, offsets, strict=True)
        return Extent.of([part.corners + offset for part, offset in pairs])

    @contextmanager
    def _together(self) -> Iterator[None]:
        """One message for each part, and none before all is set."""
        with ExitStack() as stack:
            for one in (*self.meshes.values(), *self.labels):
                stack.enter_context(one.hold_sync())
            yield
