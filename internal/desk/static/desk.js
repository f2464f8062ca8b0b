// The desk's one script. It presses what has a data-key, plays what has
// data-from, and shows what the server tells of. It knows nothing of the job:
// without it the pages do the same by links and forms.
"use strict";
(() => {
  const root = document.documentElement;
  root.classList.add("scripted");

  // Keys. They can be switched off (WCAG 2.2, 2.1.4).
  const on = document.getElementById("keys-on");
  const kept = "saywatt-keys";
  let store = null;
  try { store = window.localStorage; } catch { /* not allowed here: not kept */ }
  if (on && store && store.getItem(kept) === "off") on.checked = false;
  if (on && store) on.addEventListener("change", () => store.setItem(kept, on.checked ? "on" : "off"));

  const types = (e) => e && e.matches("input:not([type=checkbox]):not([type=file]), select, textarea, audio, video");
  const press = (e) => {
    if (e.matches("input:not([type=checkbox])")) { e.focus(); e.select(); return; }
    if (e.matches("input[type=checkbox]")) e.focus();
    e.click();
  };
  document.addEventListener("keydown", (ev) => {
    if (ev.ctrlKey || ev.metaKey || ev.altKey || ev.isComposing) return;
    const at = document.activeElement;
    if (ev.key === "Escape" && types(at)) { at.blur(); return; }
    if (types(at) || (on && !on.checked)) return;
    if (ev.key === "j" || ev.key === "k") { if (step(ev.key === "j" ? 1 : -1)) ev.preventDefault(); return; }
    if (ev.key === "/") {
      const field = document.querySelector("main input[type=text], main input[type=search]");
      if (field) { ev.preventDefault(); field.focus(); field.select(); }
      return;
    }
    if (ev.key === "p" && at && at.dataset.from && play(at)) { ev.preventDefault(); return; }
    const target = [...document.querySelectorAll("[data-key]")].find((e) => e.dataset.key === ev.key && !e.disabled && !e.hidden);
    if (target) { ev.preventDefault(); press(target); }
  });

  // j and k go from one marked value to the next.
  const step = (by) => {
    const all = [...document.querySelectorAll("main a.mark")].filter((e) => e.offsetParent !== null);
    if (!all.length) return false;
    const i = all.indexOf(document.activeElement);
    const next = all[i < 0 ? (by > 0 ? 0 : all.length - 1) : (i + by + all.length) % all.length];
    next.focus();
    next.scrollIntoView({ block: "center" });
    return true;
  };

  // Hearing: from a little before the words to a little behind them.
  const lead = 1.2, tail = 0.4, slowly = 0.6;
  const box = document.querySelector("[data-player]");
  const sound = box && box.querySelector("audio, video");
  let span = null;
  const play = (of) => {
    if (!sound || !of.dataset.from) return false;
    span = { from: Math.max(0, Number(of.dataset.from) - lead), to: Number(of.dataset.to || of.dataset.from) + tail };
    sound.currentTime = span.from;
    sound.play().catch(() => {});
    return true;
  };
  if (sound) {
    // The moment in the address is for pages without script: browsers stop at
    // its end, which is in the way of hearing again and a little more.
    sound.src = sound.getAttribute("src").split("#")[0];
    const button = (name, act) => {
      const b = box.querySelector("[" + name + "]");
      b.hidden = false;
      b.addEventListener("click", () => act(b));
      return b;
    };
    const toggled = (b) => { const is = b.getAttribute("aria-pressed") !== "true"; b.setAttribute("aria-pressed", String(is)); return is; };
    const own = () => box.dataset.from ? box : null;
    button("data-hear", () => { if (!(own() && play(box))) sound.paused ? sound.play().catch(() => {}) : sound.pause(); });
    const loop = button("data-loop", (b) => { if (toggled(b) && own() && sound.paused) play(box); });
    button("data-slow", (b) => { sound.preservesPitch = true; sound.playbackRate = toggled(b) ? slowly : 1; });
    sound.addEventListener("timeupdate", () => {
      if (!span || sound.currentTime < span.to) return;
      if (loop.getAttribute("aria-pressed") === "true") sound.currentTime = span.from;
      else { sound.pause(); span = null; }
    });
    sound.addEventListener("ended", () => { if (span && loop.getAttribute("aria-pressed") === "true") { sound.currentTime = span.from; sound.play().catch(() => {}); } });
    // A button beside each other moment that a reason, a finding or an outcome names.
    for (const a of document.querySelectorAll(".why a[data-from], .finding a[data-from], .effects a[data-from]")) {
      const b = document.createElement("button");
      b.type = "button";
      b.className = "hear";
      b.textContent = "▸";
      b.setAttribute("aria-label", "hear " + a.firstChild.textContent);
      b.addEventListener("click", () => play(a));
      a.after(b);
    }
    for (const a of document.querySelectorAll("[data-play]")) a.addEventListener("click", (ev) => { if (play(a)) ev.preventDefault(); });
  }

  // News of the review: from another tab, or another person.
  const body = document.body;
  if (body.dataset.events && window.EventSource) {
    const events = new EventSource(body.dataset.events);
    window.addEventListener("pagehide", () => events.close());
    events.addEventListener("version", (ev) => {
      if (JSON.parse(ev.data).version <= Number(body.dataset.version)) return;
      events.close();
      if ("live" in body.dataset && !types(document.activeElement)) { location.reload(); return; }
      const news = document.getElementById("news");
      news.querySelector("a").href = location.pathname + location.search;
      news.hidden = false;
    });
  }

  // How far a job is.
  const job = document.querySelector("[data-job]");
  if (job && window.EventSource) {
    const events = new EventSource(job.dataset.job);
    window.addEventListener("pagehide", () => events.close());
    events.addEventListener("job", (ev) => {
      const now = JSON.parse(ev.data);
      document.getElementById("job-progress").value = now.done + now.failed;
      document.getElementById("job-words").textContent = now.words;
      const rows = job.querySelectorAll(".items > li");
      now.items.forEach((item, i) => row(rows[i], item));
      if (now.ended) { events.close(); document.getElementById("job-stop").hidden = true; }
    });
  }
  const row = (li, item) => {
    if (!li || li.querySelector(".state").textContent === item.state) return;
    li.querySelector(".state").textContent = item.state;
    const name = li.querySelector("bdi");
    if (item.link && !li.querySelector("a")) {
      const a = document.createElement("a");
      a.href = item.link;
      name.replaceWith(a);
      a.append(name);
    }
    if (item.error) {
      const why = document.createElement("bdi");
      why.className = "why";
      why.textContent = " " + item.error;
      li.append(why);
    }
  };

  // Files that are dropped are sent as if chosen.
  const drop = document.querySelector("form[data-drop]");
  if (drop) {
    const over = (ev, is) => { if ([...ev.dataTransfer.types].includes("Files")) { ev.preventDefault(); drop.classList.toggle("over", is); } };
    document.addEventListener("dragover", (ev) => over(ev, true));
    document.addEventListener("dragleave", (ev) => over(ev, false));
    document.addEventListener("drop", (ev) => {
      over(ev, false);
      if (!ev.dataTransfer.files.length) return;
      drop.querySelector("input[type=file]").files = ev.dataTransfer.files;
      drop.requestSubmit();
    });
  }
})();
