// What is wrong with a page, as sentences: layout and the checks of WCAG 2.2
// that a program can make.
(() => {
  const faults = [];
  const root = document.documentElement;
  const wide = root.scrollWidth - root.clientWidth;
  if (wide > 0) {
    const worst = [...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > root.clientWidth + 1 && !e.closest(".scroll, .vh, .skip"));
    faults.push(`it is ${wide} pixels too wide: ${worst.slice(0, 4).map((e) => e.tagName + "." + e.className).join(", ")}`);
  }
  const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const rgba = (c) => { canvas.clearRect(0, 0, 1, 1); canvas.fillStyle = c; canvas.fillRect(0, 0, 1, 1); return canvas.getImageData(0, 0, 1, 1).data; };
  // Relative luminance and contrast: WCAG 2.2, definitions.
  const luminance = (c) => [0.2126, 0.7152, 0.0722].reduce((sum, w, i) => { const s = c[i] / 255; return sum + w * (s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4); }, 0);
  const contrast = (a, b) => { const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
  const behind = (e) => {
    for (; e; e = e.parentElement) { const c = rgba(getComputedStyle(e).backgroundColor); if (c[3] === 255) return c; }
    return [255, 255, 255];
  };
  const seen = new Set();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let n; (n = walk.nextNode());) {
    const e = n.parentElement;
    if (!n.data.trim() || e.closest(".vh, .skip, script, noscript, option, [hidden]") || !e.getClientRects().length) continue;
    const style = getComputedStyle(e);
    if (style.visibility === "hidden") continue;
    const have = contrast(rgba(style.color), behind(e));
    const big = parseFloat(style.fontSize) >= 24 || (parseFloat(style.fontSize) >= 18.66 && Number(style.fontWeight) >= 700);
    const key = e.tagName + "." + e.className;
    if (have < (big ? 3 : 4.5) && !e.closest(":disabled") && !seen.has(key)) { seen.add(key); faults.push(`contrast ${have.toFixed(2)} of ${key} “${n.data.trim().slice(0, 30)}”`); }
  }
  const ids = new Set();
  for (const e of document.querySelectorAll("[id]")) { if (ids.has(e.id)) faults.push(`the id ${e.id} is there twice`); ids.add(e.id); }
  for (const e of document.querySelectorAll("input:not([type=hidden]), select, textarea")) if (!e.labels.length && !e.ariaLabel) faults.push(`a field has no label: ${e.name}`);
  for (const e of document.querySelectorAll("a, button, summary")) if (!e.textContent.trim() && !e.ariaLabel) faults.push(`a ${e.tagName} has no name`);
  for (const e of document.querySelectorAll("img")) { if (!e.alt) faults.push("a picture has no words"); if (!e.complete || !e.naturalWidth) faults.push(`${e.src} is not shown`); }
  for (const name of ["aria-labelledby", "aria-describedby"]) for (const e of document.querySelectorAll(`[${name}]`)) if (!document.getElementById(e.getAttribute(name))) faults.push(`${name} leads nowhere: ${e.getAttribute(name)}`);
  if (document.querySelectorAll("h1").length !== 1) faults.push(`${document.querySelectorAll("h1").length} main headings`);
  for (const name of ["header", "main", "footer", "nav"]) if (!document.querySelector(name)) faults.push(`no ${name}`);
  let level = 0;
  for (const h of document.querySelectorAll("main h1, main h2, main h3, main h4")) { const now = Number(h.tagName[1]); if (level && now > level + 1) faults.push(`heading “${h.textContent.trim().slice(0, 30)}” skips a level`); level = now; }
  for (const e of document.querySelectorAll("[style], [onclick]")) faults.push(`inline style or script in ${e.tagName}`);
  // Targets of a finger: 24 pixels, or in running text (WCAG 2.2, 2.5.8).
  for (const e of document.querySelectorAll("button, .press, input:not([type=hidden]), select")) { const b = e.getBoundingClientRect(); if (b.width && (b.height < 18 || b.width < 18)) faults.push(`${e.tagName} “${(e.textContent || e.name).trim().slice(0, 20)}” is ${b.width}×${b.height}`); }
  return faults;
})()
