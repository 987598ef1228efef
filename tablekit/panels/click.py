"""A picture that can be clicked: it tells where, and nothing else."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

_SCRIPT = """
function render({ model, el }) {
  const image = document.createElement("img");
  image.style.cssText = "display:block; width:100%; max-width:960px; cursor:crosshair";
  let address = "";
  const show = () => {
    const old = address;
    address = URL.createObjectURL(new Blob([model.get("value")], { type: "image/png" }));
    image.src = address;
    image.alt = model.get("alt");
    if (old) URL.revokeObjectURL(old);
  };
  const say = (event) => {
    const box = image.getBoundingClientRect();
    const across = (event.clientX - box.left) / box.width;
    const up = (box.bottom - event.clientY) / box.height;
    model.set("clicked", [across, up, model.get("clicked")[2] + 1]);
    model.save_changes();
  };
  image.addEventListener("click", say);
  model.on("change:value", show);
  show();
  el.appendChild(image);
  return () => {
    model.off("change:value", show);
    URL.revokeObjectURL(address);
  };
}
export default { render };
"""


class ClickImage(anywidget.AnyWidget):
    """A PNG picture as wide as its column.

    value    the picture's bytes
    alt      what it shows, in words
    clicked  where it was clicked last: shares of its width from the left and of its height from
             below, and how many clicks there were, so that a second click at one place is told too
    """

    _esm = _SCRIPT
    value: Any = traitlets.Bytes(b"").tag(sync=True)
    alt: Any = traitlets.Unicode("").tag(sync=True)
    clicked: Any = traitlets.List([0.0, 0.0, 0]).tag(sync=True)
