// The page asks the program anew at each move; the address always says what is moved.
"use strict";
(() => {
  const by = (id) => document.getElementById(id);
  const page = crypto.getRandomValues(new Uint32Array(1))[0];
  const worlds = Number(document.body.dataset.worlds);
  const leading = /^\s*[-+\u2212]?[0-9.]+/;
  const pause = 200;

  const controls = [...document.querySelectorAll("[data-key]")].map((box) => ({
    box,
    key: box.dataset.key,
    field: box.querySelector(".field, select"),
    slider: box.querySelector("input[type=range]"),
    about: box.querySelector(".about"),
    back: box.querySelector(".back"),
    message: box.querySelector(".message"),
  }));
  // Settings of the address that no control moves: the program says what is wrong with them.
  const unknown = new URLSearchParams(location.search);
  const shown = new Map();
  let last = null;
  let number = 0;
  let asking = false;
  let waiting = false;
  let bandsAfter = 0;
  let bandsStop = new AbortController();

  const own = (control) => control.box.dataset.own;
  const moved = (control) => control.field.value.trim() !== own(control);

  function state() {
    const query = new URLSearchParams(unknown);
    for (const control of controls) {
      if (moved(control)) query.set(control.key, control.field.value.trim());
    }
    return query.toString();
  }

  // Slider, marks and the way back as the field has it.
  function follow(control) {
    control.box.classList.toggle("moved", moved(control));
    control.about.hidden = !moved(control);
    if (!control.slider) return;
    const found = moved(control) ? leading.exec(control.field.value)?.[0] : control.slider.dataset.number;
    if (found) control.slider.value = found.trim().replace("\u2212", "-");
    control.slider.setAttribute("aria-valuetext", control.field.value);
  }

  // The number moves; its unit and its band stay.
  function slide(control) {
    const { number: start, decimals, rest } = control.slider.dataset;
    const value = Number(control.slider.value);
    if (Math.abs(value - Number(start)) < 1e-9) {
      control.field.value = own(control);
      return;
    }
    const text = control.field.value;
    const kept = text.trim() !== own(control) && leading.test(text);
    control.field.value = value.toFixed(Number(decimals)) + (kept ? text.replace(leading, "") : rest);
  }

  function put(control, value) {
    control.field.value = value;
    move(control);
  }

  function move(control) {
    last = control;
    follow(control);
    ask();
  }

  async function fetched(what, of, query, signal) {
    const answer = await fetch(`${what}/${page}/${of}?${query}`, { signal, cache: "no-store" });
    if (answer.status === 204) return null;
    if (!answer.ok) throw new Error(answer.status);
    return answer.json();
  }

  // One question at a time; what is moved meanwhile is asked next, and only that.
  async function ask() {
    bandsStop.abort();
    clearTimeout(bandsAfter);
    waiting = true;
    if (asking) return;
    asking = true;
    while (waiting) {
      waiting = false;
      number += 1;
      const [of, query] = [number, state()];
      try {
        const answer = await fetched("answer", of, query);
        if (!answer) continue;
        show(answer, of);
        if (waiting) continue;
        history.replaceState(null, "", query ? `?${query}` : location.pathname);
        if (!answer.refused && worlds > 1) {
          bandsAfter = setTimeout(() => askBands(of, query), pause);
        }
      } catch (error) {
        gone(error);
      }
    }
    asking = false;
  }

  async function askBands(of, query) {
    bandsStop = new AbortController();
    try {
      const answer = await fetched("bands", of, query, bandsStop.signal);
      if (answer && of === number) show(answer, of, true);
    } catch (error) {
      if (error.name !== "AbortError") gone(error);
    }
  }

  function gone(error) {
    const failed = /^\d+$/.test(error.message);
    say(by("message"), [failed
      ? `The program failed at this (${error.message}); what it says stands where it was started.`
      : "The program does not answer. Was it closed? Start it again, and open the address that it prints."]);
    document.body.classList.add("old");
    document.body.dataset.shown = "gone";
  }

  function say(place, texts) {
    const lines = texts.map((text) => {
      const line = document.createElement("p");
      line.textContent = text;
      return line;
    });
    place.replaceChildren(...lines);
  }

  // Each message stands beside its control; what names none stands beside the last one moved.
  function refuse(messages) {
    const beside = new Map();
    for (const { key, sentences } of messages) {
      const named = controls.find((control) => control.key === key);
      const control = named ?? (last && moved(last) ? last : null);
      const place = control ? control.message : by("message");
      beside.set(place, [...(beside.get(place) ?? []), sentences.join("; ")]);
    }
    for (const place of [by("message"), ...controls.map((control) => control.message)]) {
      say(place, beside.get(place) ?? []);
    }
    for (const control of controls) {
      control.field.setAttribute("aria-invalid", String(beside.has(control.message)));
    }
  }

  function show(answer, of, banded = false) {
    refuse(answer.refused ?? []);
    by("command").textContent = answer.command;
    document.body.classList.toggle("old", Boolean(answer.refused));
    if (answer.refused) {
      document.body.dataset.shown = `${of} refused`;
      return;
    }
    for (const [name, part] of Object.entries(answer.parts)) {
      if (shown.get(name) !== part) by(name).innerHTML = part;
      shown.set(name, part);
    }
    by("took").textContent = `${banded ? "Bands from " + worlds + " worlds" : "Rule"} in ${answer.took_ms} ms.`;
    if (answer.build !== document.body.dataset.build) changed(answer);
    document.body.dataset.shown = `${of} ${banded ? "bands" : "answer"}`;
  }

  // The build on disk is another one: its own values count from now on.
  function changed(answer) {
    document.body.dataset.build = answer.build;
    for (const control of controls) {
      const value = answer.own[control.key];
      if (value === undefined) continue;
      const was = moved(control);
      control.box.dataset.own = value;
      control.box.querySelector(".own").textContent = value;
      if (control.slider) control.slider.dataset.number = (leading.exec(value) ?? [""])[0].replace("\u2212", "-");
      if (!was) control.field.value = value;
      follow(control);
    }
    by("changed").textContent = "The build on disk has changed: this is of the build as it is now. Load the page again to have its sliders, too.";
    by("changed").hidden = false;
  }

  for (const control of controls) {
    control.slider?.addEventListener("input", () => {
      slide(control);
      move(control);
    });
    control.field.addEventListener("input", () => move(control));
    control.back.addEventListener("click", () => {
      put(control, own(control));
      control.field.focus();
    });
    for (const button of control.box.querySelectorAll("[data-value]")) {
      button.addEventListener("click", () => put(control, button.dataset.value));
    }
  }
  by("controls").addEventListener("submit", (event) => event.preventDefault());
  by("back").addEventListener("click", () => {
    [...unknown.keys()].forEach((key) => unknown.delete(key));
    for (const control of controls) {
      control.field.value = own(control);
      follow(control);
    }
    ask();
  });
  by("copy").addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(by("command").textContent);
      by("copied").textContent = "copied";
    } catch {
      getSelection().selectAllChildren(by("command"));
      by("copied").textContent = "marked: copy it with the keyboard";
    }
  });

  for (const control of controls) {
    if (unknown.has(control.key)) control.field.value = unknown.get(control.key);
    unknown.delete(control.key);
    follow(control);
  }
  ask();
})();
