// The desk's one script. It presses what has a data-key, plays what has
// data-from, and shows what the server reports. It knows nothing of the job:
// without it the pages do the same by links and forms.
"use strict";
(() => {
  const root = document.documentElement, body = document.body;
  root.classList.add("scripted");

  const kept = "saywatt-keys";
  let store = null;
  try { store = window.localStorage; } catch { /* not allowed here: not kept */ }
  const remembered = (name) => { try { return JSON.parse(store.getItem(name)) || {}; } catch { return {}; } };
  const remember = (name, value) => { try { store.setItem(name, JSON.stringify(value)); } catch { /* not kept */ } };

  // No answer by a slip: a page takes none before it was there for a while, only
  // one, and none once it is being left. What is pressed too soon was meant for the
  // page before. The class says whether a page takes answers.
  const settle = 300, left = 5000; // milliseconds
  let awake = false, sent = false, waits = 0;
  const lock = () => {
    awake = false;
    sent = true;
    root.classList.remove("awake");
    clearTimeout(waits);
  };
  const wake = () => {
    lock();
    sent = false;
    requestAnimationFrame(() => { waits = setTimeout(() => { awake = true; root.classList.add("awake"); }, settle); });
  };
  const leave = () => { lock(); waits = setTimeout(wake, left); }; // it stays: the next page did not come
  window.addEventListener("pageshow", (ev) => { if (ev.persisted) wake(); });
  let whole = false; // what is sent next is sent as without script
  document.addEventListener("submit", (ev) => {
    const form = ev.target;
    if (form.method !== "post") { leave(); return; }
    if (!whole && (sent || (!awake && form.elements.version))) { ev.preventDefault(); return; }
    lock();
    if (whole || !document.querySelector(".answer")) return;
    ev.preventDefault();
    turn(form, ev.submitter);
  });

  // From one question to the next only what is in the page is changed: that is
  // quicker than another page, and what is heard stays at hand.
  const turn = async (form, by) => {
    let answer, page;
    try {
      const to = by && by.hasAttribute("formaction") ? by.formAction : form.action;
      answer = await fetch(to, { method: "POST", body: new URLSearchParams(new FormData(form, by)), keepalive: true, headers: { Accept: "text/html" } });
      page = new DOMParser().parseFromString(await answer.text(), "text/html");
    } catch { // the server is gone: the page stays, with what was filled in
      document.getElementById("gone").hidden = false;
      wake();
      return;
    }
    if (!page.querySelector("main")) {
      whole = true;
      form.requestSubmit(by);
      return;
    }
    show(page);
    if (answer.redirected) history.pushState(null, "", answer.url);
    turned();
  };
  // Between the two questions of one quantity too.
  document.addEventListener("click", async (ev) => {
    const link = ev.target.closest("a[href]");
    if (!link || ev.defaultPrevented || ev.ctrlKey || ev.metaKey || ev.shiftKey || ev.altKey) return;
    if (!("turn" in link.dataset)) {
      const here = link.hash && link.href.split("#")[0] === location.href.split("#")[0];
      if (!here && !link.hasAttribute("download")) leave();
      return;
    }
    ev.preventDefault();
    lock();
    let page;
    try {
      const answer = await fetch(link.href, { headers: { Accept: "text/html" } });
      page = new DOMParser().parseFromString(await answer.text(), "text/html");
    } catch { /* the server is gone: the browser says so */ }
    if (!page || !page.querySelector("main")) { leave(); location.href = link.href; return; }
    show(page);
    history.pushState(null, "", link.href);
    turned();
  });
  const turned = () => {
    here = address();
    document.dispatchEvent(new Event("turned"));
  };
  const address = () => location.pathname + location.search;
  let here = address();
  window.addEventListener("popstate", () => { if (address() !== here) location.reload(); });
  const show = (page) => {
    const before = sound;
    document.title = page.title;
    for (const a of [...body.attributes]) body.removeAttribute(a.name);
    for (const a of page.body.attributes) body.setAttribute(a.name, a.value);
    body.replaceChildren(...page.body.childNodes);
    const now = document.querySelector("[data-player] :is(audio, video)");
    if (before && now && fileOf(before) === fileOf(now)) now.replaceWith(before);
    scrollTo(0, 0);
    arrive();
    const answers = document.getElementById("answer");
    if (answers && !answers.contains(document.activeElement)) answers.focus({ preventScroll: true });
  };

  // Keys. They can be switched off (WCAG 2.2, 2.1.4).
  const types = (e) => e && e.matches("input:not([type=checkbox]):not([type=file]), select, textarea, audio, video");
  const press = (e) => {
    if (e.matches("input:not([type=checkbox])")) { e.focus(); e.select(); return; }
    if (e.matches("input[type=checkbox]")) e.focus();
    e.click();
  };
  document.addEventListener("keydown", (ev) => {
    if (ev.ctrlKey || ev.metaKey || ev.altKey || ev.isComposing) return;
    if (ev.repeat && !types(document.activeElement) && ev.key !== "j" && ev.key !== "k" && ev.key !== "Tab" && !ev.key.startsWith("Arrow") && !ev.key.startsWith("Page")) { ev.preventDefault(); return; }
    const at = document.activeElement, on = document.getElementById("keys-on");
    if (ev.key === "Escape" && types(at)) { at.blur(); return; }
    if (types(at) || (on && !on.checked)) return;
    if (ev.key === "j" || ev.key === "k") { if (step(ev.key === "j" ? 1 : -1)) ev.preventDefault(); return; }
    if (ev.key === "/") {
      const field = document.querySelector("main input[type=search], main input[type=text]");
      if (field) { ev.preventDefault(); field.focus(); field.select(); }
      return;
    }
    if (ev.key === "p" && at && at.dataset.from && play(at)) { ev.preventDefault(); return; }
    const shut = (e) => { const part = e.closest("details:not([open])"); return part && part.firstElementChild !== e; };
    const target = [...document.querySelectorAll("[data-key]")].find((e) => e.dataset.key === ev.key && !e.disabled && !e.hidden && !shut(e));
    if (target) { ev.preventDefault(); press(target); }
  });

  // What is unfolded to be filled in has the focus.
  document.addEventListener("toggle", (ev) => {
    const field = ev.target.open && "first" in ev.target.dataset && ev.target.querySelector("select, input");
    if (field) field.focus();
  }, true);

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

  // Hearing: from a little before the words to a little behind them. How is
  // remembered.
  const lead = 1.2, tail = 0.4, slowly = 0.6, nudge = 1;
  const ear = Object.assign({ auto: false, loop: false, slow: false }, remembered("saywatt-ear"));
  let box = null, sound = null, span = null, shift = 0, fetches = 0;
  const fileOf = (media) => media.getAttribute("src").split("#")[0];
  // What is heard is fetched when the page has been drawn, or when it is played. The
  // moment in its address is for pages without script: browsers stop at its end,
  // which is in the way of hearing again and a little more.
  const load = () => {
    if (!sound || sound.preload === "metadata") return;
    sound.preload = "metadata";
    sound.src = fileOf(sound);
    rate();
  };
  const rate = () => { sound.defaultPlaybackRate = sound.playbackRate = ear.slow ? slowly : 1; };
  const own = () => box && box.dataset.from ? box : null;
  const seek = (to) => {
    const media = sound;
    media.currentTime = to;
    if (!media.readyState) media.addEventListener("loadedmetadata", () => { media.currentTime = to; }, { once: true }); // some let go of it until then
  };
  // Unplayed, a film shows the moment that the page is about.
  const poise = () => {
    load();
    if (own() && sound.paused) seek(Math.max(0, Number(box.dataset.from) - lead));
  };
  const play = (of) => {
    if (!sound || !of.dataset.from) return false;
    load();
    const from = Number(of.dataset.from) + shift * nudge;
    span = { from: Math.max(0, from - lead), to: Number(of.dataset.to || of.dataset.from) + Math.max(0, shift * nudge) + tail };
    seek(span.from);
    sound.play().catch(() => {});
    return true;
  };
  const heardTo = (media) => {
    media.preservesPitch = true;
    media.addEventListener("timeupdate", () => {
      if (!span || media.currentTime < span.to) return;
      if (ear.loop) media.currentTime = span.from;
      else { media.pause(); span = null; }
    });
    media.addEventListener("ended", () => { if (span && ear.loop) { media.currentTime = span.from; media.play().catch(() => {}); } });
  };
  const player = () => {
    const before = sound;
    box = document.querySelector("[data-player]");
    sound = box && box.querySelector("audio, video");
    span = null;
    shift = 0;
    clearTimeout(fetches);
    if (!sound) return;
    if (sound !== before) heardTo(sound);
    const button = (name, act) => {
      const b = box.querySelector("[" + name + "]");
      b.hidden = false;
      b.addEventListener("click", () => act(b));
      return b;
    };
    const toggle = (name, key, act) => {
      const show = (b) => b.setAttribute("aria-pressed", String(ear[key]));
      show(button(name, (b) => { ear[key] = !ear[key]; remember("saywatt-ear", ear); show(b); act(); }));
    };
    button("data-hear", () => {
      if (!sound.paused) { sound.pause(); return; }
      shift = 0;
      load();
      if (!(own() && play(box))) sound.play().catch(() => {});
    });
    for (const b of box.querySelectorAll("[data-shift]")) {
      b.hidden = false;
      b.addEventListener("click", () => { shift += Number(b.dataset.shift); load(); if (own()) play(box); else sound.currentTime += Number(b.dataset.shift) * nudge; });
    }
    toggle("data-loop", "loop", () => { if (ear.loop && own() && sound.paused) play(box); });
    toggle("data-slow", "slow", rate);
    toggle("data-auto", "auto", () => { if (ear.auto && own() && sound.paused) play(box); });
    rate();
    if (ear.auto && own()) play(box);
    else fetches = setTimeout(poise, settle);
    // A button beside each other moment that a reason, a finding or an outcome names.
    for (const a of document.querySelectorAll(":is(.why, .finding, .effects) a[data-from]")) {
      const b = document.createElement("button");
      b.type = "button";
      b.className = "hear";
      b.textContent = "▸";
      b.setAttribute("aria-label", "hear " + a.firstChild.textContent);
      b.addEventListener("click", () => play(a));
      a.after(b);
    }
    for (const a of document.querySelectorAll("[data-play]")) a.addEventListener("click", (ev) => { if (play(a)) ev.preventDefault(); });
  };

  // What is being typed is shown as it would be understood.
  const typing = () => {
    const typed = document.querySelector("[data-understood]"), line = document.getElementById("understood");
    if (!typed || !line) return;
    const empty = line.innerHTML;
    let wait = 0, asked = 0;
    typed.addEventListener("input", () => {
      clearTimeout(wait);
      wait = setTimeout(async () => {
        const mine = ++asked;
        if (!typed.value.trim()) { line.innerHTML = empty; return; }
        try {
          const answer = await fetch(typed.dataset.understood + "&typed=" + encodeURIComponent(typed.value));
          const words = await answer.text();
          if (mine !== asked || !answer.ok) return;
          line.textContent = words;
          line.classList.toggle("wrong", words.startsWith("?"));
        } catch { /* the server is gone: the page says so when it is sent */ }
      }, 60);
    });
  };

  // How far a job is.
  const job = () => {
    const job = document.querySelector("[data-job]");
    if (!job || !window.EventSource) return;
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
  };
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
  const drops = () => document.querySelector("form[data-drop]");
  const over = (ev, is) => {
    const drop = drops();
    if (drop && [...ev.dataTransfer.types].includes("Files")) { ev.preventDefault(); drop.classList.toggle("over", is); }
  };
  document.addEventListener("dragover", (ev) => over(ev, true));
  document.addEventListener("dragleave", (ev) => over(ev, false));
  document.addEventListener("drop", (ev) => {
    const drop = drops();
    if (!drop) return;
    over(ev, false);
    if (!ev.dataTransfer.files.length) return;
    drop.querySelector("input[type=file]").files = ev.dataTransfer.files;
    drop.requestSubmit();
  });

  // arrive makes what is in the page work.
  const arrive = () => {
    const on = document.getElementById("keys-on");
    if (on && store) {
      on.checked = store.getItem(kept) !== "off";
      on.addEventListener("change", () => store.setItem(kept, on.checked ? "on" : "off"));
    }
    player();
    typing();
    job();
    // The words that the page is about stand in the middle of what is shown.
    const said = document.querySelector(".sentence"), mark = said && said.querySelector(".now");
    if (mark && said.scrollHeight > said.clientHeight) {
      const line = parseFloat(getComputedStyle(said).lineHeight) || 1; // whole lines are shown
      said.scrollTop = Math.round((mark.offsetTop - said.offsetTop - (said.clientHeight - mark.offsetHeight) / 2) / line) * line;
      if (said.scrollTop) said.scrollTop += 3; // the line drawn under words reaches into the next
    }
    // What was typed wrong, and a value to be changed, have the focus and are seen.
    const first = document.querySelector("[autofocus]");
    if (first) {
      first.focus();
      first.select();
      // The form stays on the screen while its section is on it: what it changes is
      // seen below it.
      const form = first.closest(".edit"), changed = form && form.parentElement.querySelector(".editing");
      if (changed) changed.scrollIntoView({ block: "end", inline: "center" });
      else if (form) form.scrollIntoView({ block: "center" });
    }
    wake();
  };
  arrive();

  // News of the reviews: from another tab, or another person. One stream serves
  // all tabs; where there are no shared workers, each has one while it is seen.
  const news = (states) => {
    if (!(states[body.dataset.review] > Number(body.dataset.shown)) || sent) return;
    if ("live" in body.dataset && !types(document.activeElement)) { location.reload(); return; }
    const note = document.getElementById("news");
    note.querySelector("a").href = address();
    note.hidden = false;
  };
  if (body.dataset.review && window.SharedWorker) {
    const worker = new SharedWorker("/static/news.js");
    worker.port.onmessage = (ev) => news(ev.data);
    worker.port.start();
    window.addEventListener("pagehide", () => worker.port.postMessage("bye"));
    window.addEventListener("pageshow", (ev) => { if (ev.persisted) worker.port.postMessage("back"); });
  } else if (body.dataset.review && window.EventSource) {
    let events = null;
    const listen = () => {
      if (events) events.close();
      events = document.visibilityState === "visible" ? new EventSource("/events") : null;
      if (events) events.addEventListener("versions", (ev) => news(JSON.parse(ev.data)));
    };
    listen();
    document.addEventListener("visibilitychange", listen);
    window.addEventListener("pagehide", () => events && events.close());
  }
})();
