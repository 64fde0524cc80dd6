/* Comfort only: every page works without it.
   - a form is sent once, however often the button is pressed;
   - leaving a page with unsaved input asks first (not on forms marked data-unguarded);
   - a form marked data-keep="a name" (with hx-boost="true" or hx-post) keeps what was typed when the connection drops,
     and puts it back, unless somebody signed out since (data-forgets);
   - an error summary gets the focus;
   - a work that has ended leads on to what it made (data-goes-to), in the place of its own page;
   - a folded part opens when a link asks for it, and on paper. */
"use strict";

(() => {
  const KEEP = "kitwright.keep:";
  const changed = new Set();
  let leaving = false;

  const store = {
    read(key) { try { return JSON.parse(sessionStorage.getItem(key)); } catch { return null; } },
    write(key, value) { try { sessionStorage.setItem(key, JSON.stringify(value)); } catch { /* full or forbidden: go on without */ } },
    drop(key) { try { sessionStorage.removeItem(key); } catch { /* as above */ } },
    clear() { try { sessionStorage.clear(); } catch { /* as above */ } },
  };

  function say(level, text, act) {
    const list = document.getElementById("messages");
    if (!list) return;
    [...list.querySelectorAll("[data-script]")].forEach((old) => old.remove());
    const item = document.createElement("li");
    item.className = `message message--${level}`;
    item.dataset.script = "";
    const line = document.createElement("p");
    line.textContent = text;
    item.append(line);
    if (act) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = act.label;
      button.addEventListener("click", () => { act.run(); item.remove(); });
      item.append(button);
    }
    list.append(item);
    list.hidden = false;
  }

  /* Keeping what was typed. Hidden fields (tokens, versions), passwords and files are never kept. */
  /* Named by where the form is sent: a page that says what is wrong stands at another address than the one before. */
  const keyOf = (form) => KEEP + new URL(form.getAttribute("action") || "", location.href).pathname + "#" + form.dataset.keep;
  const keepable = (el) => el.name && !["hidden", "password", "file", "submit", "button"].includes(el.type);
  const valueOf = (el) => (el.type === "checkbox" || el.type === "radio" ? el.checked : el.value);

  function keep(form) {
    const fields = [...form.elements].filter(keepable).map((el) => [el.name, el.value, valueOf(el)]);
    store.write(keyOf(form), { at: new Date().toTimeString().slice(0, 5), fields });
  }

  function putBack(form) {
    const kept = store.read(keyOf(form));
    if (!kept) return;
    const before = new Map();
    for (const el of [...form.elements].filter(keepable)) {
      const box = el.type === "checkbox" || el.type === "radio";
      const found = kept.fields.find(([name, value]) => name === el.name && (!box || value === el.value));
      if (!found || found[2] === valueOf(el)) continue;
      before.set(el, valueOf(el));
      if (box) el.checked = found[2]; else el.value = found[2];
    }
    if (!before.size) return;
    say("warning", `What you typed here at ${kept.at} had not been saved. It has been put back; check it and save.`, {
      label: "Discard it",
      run() {
        store.drop(keyOf(form));
        before.forEach((value, el) => { if (typeof value === "boolean") el.checked = value; else el.value = value; });
      },
    });
  }

  const holds = new WeakMap(); /* form -> the timer that lets it go */

  function release(form) {
    clearTimeout(holds.get(form));
    delete form.dataset.sent;
    form.querySelectorAll("button[data-held]").forEach((button) => {
      button.disabled = false;
      delete button.dataset.held;
    });
  }

  document.addEventListener("input", (event) => {
    const form = event.target.form;
    if (!form || (form.getAttribute("method") || "").toLowerCase() !== "post") return;
    leaving = false; /* the page is still there: what was sent was a download */
    if (form.dataset.keep) keep(form);
    else if (!("unguarded" in form.dataset)) changed.add(form);
  });

  window.addEventListener("beforeunload", (event) => {
    if (!leaving && [...changed].some((form) => form.isConnected)) event.preventDefault();
  });

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if ((form.getAttribute("method") || "").toLowerCase() !== "post") return;
    if (form.dataset.sent) { event.preventDefault(); event.stopImmediatePropagation(); return; }
    form.dataset.sent = "yes";
    if ("forgets" in form.dataset) store.clear();
    if (form.dataset.keep) {
      keep(form);
      form.dataset.keptAs = keyOf(form); /* the address may have changed by the time of the answer */
    }
    changed.delete(form);
    leaving = !form.matches("[hx-post], [hx-boost=true], [hx-boost=true] *");
    /* Only after the browser has read the form: a disabled button would not send its name. */
    setTimeout(() => form.querySelectorAll("button:not([type=button]):not([disabled])").forEach((button) => {
      button.disabled = true;
      button.dataset.held = "";
    }));
    /* A download leaves the page where it is; do not hold its button for ever. */
    holds.set(form, setTimeout(() => release(form), 15000));
  }, true);

  /* Back from the browser's page cache: the form may be sent again. */
  window.addEventListener("pageshow", (event) => {
    leaving = false;
    if (event.persisted) document.querySelectorAll("form[data-sent]").forEach(release);
  });

  /* Before a swap the event names the place that changes; the request knows which form asked. */
  const formOf = (event) => (event.detail.requestConfig?.elt ?? event.detail.elt)?.closest?.("form");

  document.addEventListener("htmx:afterRequest", (event) => {
    const form = formOf(event);
    if (form) release(form);
  });

  /* The answer is on the page: kept values go once no form on it still asks to be mended. */
  document.addEventListener("htmx:beforeSwap", (event) => {
    const form = formOf(event);
    if (event.detail.boosted && event.detail.xhr.status >= 400) event.detail.shouldSwap = true;
    if (form?.dataset.keep && event.detail.xhr.status < 300 && !/aria-invalid="true"|class="error-summary"/.test(event.detail.serverResponse || "")) {
      store.drop(form.dataset.keptAs || keyOf(form));
    }
  });

  document.addEventListener("htmx:sendError", (event) => {
    const kept = formOf(event)?.dataset.keep;
    say("error", kept
      ? "Not sent: the connection is down. What you typed is kept on this device; press the button again when it is back."
      : "Not sent: the connection is down. Nothing was changed; try again when it is back.");
  });

  document.addEventListener("htmx:responseError", (event) => {
    const status = event.detail.xhr.status;
    say("error", status === 403 ? "Your account may not do this. Nothing was changed."
      : status === 409 ? "Somebody else has changed this in the meantime. Load the page again to see it; nothing was overwritten."
      : status === 429 ? "That was asked for too often. What you typed is still here: wait a minute and try again."
      : status === 503 ? "The database is busy, so this was not done. What you typed is still here: wait a moment and try again."
        : `The server could not do this (error ${status}). Nothing was changed; load the page again and retry.`);
  });

  window.addEventListener("offline", () => say("warning", "No connection. Forms keep what you type; send them when it is back."));
  window.addEventListener("online", () => say("success", "The connection is back."));

  /* Folded parts: the one whose heading a link asks for opens, and all of them open on paper. */
  function asked() {
    try { return decodeURIComponent(location.hash); } catch { return location.hash; }
  }

  function unfold() {
    const part = [...document.querySelectorAll("details[data-open-at]")].find((el) => `#${el.dataset.openAt}` === asked());
    if (!part) return;
    part.open = true;
    document.getElementById(part.dataset.openAt)?.scrollIntoView();
  }
  window.addEventListener("hashchange", unfold);
  document.addEventListener("DOMContentLoaded", unfold);
  window.addEventListener("beforeprint", () => document.querySelectorAll("details[data-open-at]").forEach((part) => {
    part.querySelectorAll("img[loading=lazy]").forEach((img) => { img.loading = "eager"; });
    if (!part.open) { part.open = true; part.dataset.openedToPrint = ""; }
  }));
  window.addEventListener("afterprint", () => document.querySelectorAll("details[data-opened-to-print]").forEach((part) => { part.open = false; delete part.dataset.openedToPrint; }));

  /* Once only: what is downloaded leaves the page where it is. */
  function goOn() {
    const ended = document.querySelector("[data-goes-to]");
    if (!ended) return;
    const made = new URL(ended.dataset.goesTo, location.href);
    delete ended.dataset.goesTo;
    if (made.origin === location.origin) location.replace(made);
  }
  document.addEventListener("DOMContentLoaded", goOn);
  document.addEventListener("htmx:afterSwap", goOn);

  function settle() {
    document.querySelectorAll("form[data-keep]").forEach(putBack);
    const wrong = document.querySelector("[data-focus]");
    wrong?.focus();
    // htmx goes to the top of a page that it has put in, after this
    if (wrong) requestAnimationFrame(() => requestAnimationFrame(() => wrong.scrollIntoView({ block: "center" })));
  }
  document.addEventListener("DOMContentLoaded", settle);
  document.addEventListener("htmx:afterSettle", (event) => { if (event.detail.boosted) settle(); });
})();
