/* Comfort for a list in order ([data-order]); without it the places are typed and the buttons ask the server.
   - a row is dragged by its handle, with mouse, pen or finger;
   - a typed place moves its row there;
   - the buttons move a row by one and keep the focus;
   - whatever moved, the places are counted anew and said aloud. */
"use strict";

(() => {
  const EDGE_PX = 70;

  function start(list) {
    const said = document.querySelector("[data-order-said]");
    const rows = () => [...list.children];
    const place = (row) => row.querySelector("input");
    let dragged = null;
    let pointer = null;
    let scroll = 0;

    function count() { rows().forEach((row, i) => { place(row).value = i + 1; }); }

    function tell(row) {
      count();
      said.textContent = `Step ${row.dataset.key} is now ${place(row).value} of ${list.children.length}. Not saved yet.`;
    }

    function put(row, index) {
      const others = rows().filter((other) => other !== row);
      list.insertBefore(row, others[Math.max(0, Math.min(index, others.length))] || null);
    }

    list.addEventListener("click", (event) => {
      const button = event.target.closest("button[data-by]");
      if (!button) return;
      event.preventDefault();
      const row = button.closest("li");
      put(row, rows().indexOf(row) + Number(button.dataset.by));
      tell(row);
      button.focus();
      row.scrollIntoView({ block: "nearest" });
    });

    list.addEventListener("change", (event) => {
      const row = event.target.closest("li");
      const typed = Number(event.target.value);
      if (!row || !Number.isInteger(typed) || typed < 1 || typed > list.children.length) return; /* the server says why */
      put(row, typed - 1);
      tell(row);
    });

    function over(y) {
      for (const row of rows()) {
        if (row === dragged) continue;
        const box = row.getBoundingClientRect();
        if (y < box.top || y > box.bottom) continue;
        const after = y > box.top + box.height / 2;
        const before = after ? row.nextElementSibling : row;
        if (before !== dragged && before !== dragged.nextElementSibling) list.insertBefore(dragged, before);
        return;
      }
    }

    let lastY = 0;
    function drift() {
      if (!dragged || !scroll) return;
      window.scrollBy(0, scroll);
      over(lastY);
      requestAnimationFrame(drift);
    }

    list.addEventListener("pointerdown", (event) => {
      const handle = event.target.closest(".order-handle");
      if (!handle || event.button || dragged) return;
      event.preventDefault();
      dragged = handle.closest("li");
      pointer = event.pointerId;
      dragged.classList.add("is-dragged");
      list.setPointerCapture(event.pointerId);
    });

    list.addEventListener("pointermove", (event) => {
      if (!dragged || event.pointerId !== pointer) return;
      lastY = event.clientY;
      over(lastY);
      const was = scroll;
      scroll = lastY < EDGE_PX ? -12 : lastY > window.innerHeight - EDGE_PX ? 12 : 0;
      if (scroll && !was) requestAnimationFrame(drift);
    });

    function drop(event) {
      if (!dragged || event.pointerId !== pointer) return;
      dragged.classList.remove("is-dragged");
      tell(dragged);
      dragged = null;
      scroll = 0;
    }
    list.addEventListener("pointerup", drop);
    list.addEventListener("pointercancel", drop);
  }

  document.addEventListener("DOMContentLoaded", () => document.querySelectorAll("[data-order]").forEach(start));
})();
