"use strict";
// Ticks are remembered on the device that they were made on, by piece and line; drawings come near.
(() => {
  const piece = document.body.dataset.piece;
  let store = null;
  try {
    store = window.localStorage;
    store.getItem("tablekit");
  } catch (refused) {
    store = null;
  }
  const remembered = (key) => {
    try {
      return store !== null && store.getItem(key) === "1";
    } catch (refused) {
      return false;
    }
  };
  const remember = (key, ticked) => {
    try {
      if (ticked) store.setItem(key, "1");
      else store.removeItem(key);
    } catch (refused) {
      store = null;
    }
  };

  const times = new Map(); // the same words twice are two lines
  for (const ticks of document.querySelectorAll(".ticks")) {
    const boxes = [...ticks.previousElementSibling.querySelectorAll("input[type=checkbox]")];
    const [button, said] = [ticks.querySelector("button"), ticks.querySelector("span")];
    let cleared = [];
    const say = () => {
      const done = boxes.filter((box) => box.checked).length;
      said.textContent = `${done} of ${boxes.length} done` +
        (store ? ", kept on this device." : ". This browser keeps no ticks.");
      button.textContent = cleared.length ? "Put the ticks back" : "Clear the ticks";
      button.disabled = !done && !cleared.length;
    };
    const set = (box, ticked) => {
      box.checked = ticked;
      remember(box.dataset.key, ticked);
    };
    for (const box of boxes) {
      const words = box.parentElement.textContent.trim();
      times.set(words, (times.get(words) || 0) + 1);
      box.dataset.key = JSON.stringify(["tablekit", piece, words, times.get(words)]);
      box.checked = remembered(box.dataset.key);
      box.addEventListener("change", () => {
        cleared = [];
        set(box, box.checked);
        say();
      });
    }
    button.addEventListener("click", () => {
      const back = cleared;
      cleared = back.length ? [] : boxes.filter((box) => box.checked);
      for (const box of back.length ? back : cleared) set(box, back.length > 0);
      say();
    });
    say();
    ticks.hidden = false;
  }

  for (const near of document.querySelectorAll(".near")) {
    const [sheet, button] = [near.previousElementSibling, near.querySelector("button")];
    const show = (large) => {
      sheet.classList.toggle("near", large);
      sheet.classList.toggle("whole", !large);
      button.textContent = large ? "Whole drawing" : "Larger";
    };
    // Where it is touched is what comes near.
    const turn = (across, down) => {
      const large = !sheet.classList.contains("near");
      show(large);
      sheet.scrollLeft = large ? across * sheet.scrollWidth - sheet.clientWidth / 2 : 0;
      if (large && down !== null) {
        const image = sheet.querySelector("img").getBoundingClientRect();
        window.scrollBy(0, image.top + down * image.height - window.innerHeight / 2);
      }
    };
    sheet.querySelector("img").addEventListener("click", (event) => {
      const image = event.target.getBoundingClientRect();
      turn((event.clientX - image.left) / image.width, (event.clientY - image.top) / image.height);
    });
    button.addEventListener("click", () => turn(0.5, null));
    show(false);
    near.hidden = false;
  }
})();
