// What makes the page quick: it works without this file. A form is sent and
// a page asked for anew without leaving the page; of what comes back the parts
// marked data-part take the places of those that are there.
"use strict";

const one = (selector, from = document) => from.querySelector(selector);
const all = (selector, from = document) => [...from.querySelectorAll(selector)];

/* --- parts of the page ---------------------------------------------------- */

// busyIn says that somebody is in the middle of typing in a part.
const busyIn = (part) => all("input:not([type=hidden])", part).some((field) => field.type !== "checkbox" && (field.value !== field.defaultValue || field.ariaInvalid === "true"));

// take puts the parts of a page that came in the places of those here. What was
// not asked for by a form leaves alone what somebody types in.
function take(text, asked) {
  const come = new DOMParser().parseFromString(text, "text/html");
  const focus = document.activeElement && document.activeElement.id;
  if (!one("[data-part]", come)) return show(come);
  for (const part of all("[data-part]")) {
    const now = come.getElementById(part.id);
    if (samePlan(part, now)) continue;
    if (!now || now.innerHTML === part.innerHTML || (!asked && (busyIn(part) || part.id === "told"))) continue;
    const was = all("details", part).map((d) => d.open);
    part.replaceWith(document.adoptNode(now));
    if (!asked) all("details", now).forEach((d, i) => { d.open = was[i] || false; });
  }
  ready();
  const again = focus && document.getElementById(focus);
  if (again && document.activeElement !== again) again.focus({ preventScroll: true });
  // What was pressed is gone with what it logged: go on where that is told.
  else if (asked && document.activeElement === document.body && one("#told")) one("#told").focus({ preventScroll: true });
  if (again) uncover(again);
}

document.addEventListener("focusin", (e) => { if (e.target.matches(":focus-visible")) uncover(e.target); });

// uncover moves what has the focus from under what was told, which stays in sight.
function uncover(field) {
  const told = one("#told"), top = field.getBoundingClientRect().top;
  if (told && !told.contains(field) && top < told.getBoundingClientRect().bottom + 8) scrollBy(0, top - told.getBoundingClientRect().bottom - 8);
}

// samePlan says that a part is a plan that is open. If it is drawn anew, plan.js
// changes its picture, and leaves what is seen of it and what was tapped.
function samePlan(part, now) {
  const here = one("figure[data-open]", part), then = now && one("figure[data-plan]", now);
  if (!here || !then) return false;
  here.dataset.plan = then.dataset.plan;
  return true;
}

// show is for a page of another kind, such as one that tells what went wrong.
function show(come) {
  one("main").replaceWith(document.adoptNode(one("main", come)));
  ready();
}

// refresh asks for the page anew, one time after the other however often it is told
// to. What comes while a form is under way, or was asked for before that was answered,
// would take the place of what is newer.
let sent = 0, sending = 0, stale = false, asking = false;

async function refresh() {
  stale = true;
  if (asking) return;
  asking = true;
  try {
    while (stale && sending === 0) {
      stale = false;
      const before = sent, answer = await fetch(location.href, { credentials: "same-origin" }), text = await answer.text();
      if (sending > 0 || before !== sent) stale = true;
      else if (answer.ok) take(text, false);
    }
  } finally {
    asking = false;
  }
}

async function send(form, pressed) {
  const fields = new URLSearchParams(new FormData(form));
  if (pressed && pressed.name) fields.set(pressed.name, pressed.value);
  sending++;
  let answer, text;
  try {
    answer = await fetch(pressed && pressed.hasAttribute("formaction") ? pressed.formAction : form.action, { method: "POST", body: fields, credentials: "same-origin" });
    text = await answer.text();
  } finally {
    sending--;
    sent++;
  }
  take(text, true);
  if (answer.ok) history.replaceState(null, "", answer.url);
  if (stale) refresh().catch(() => lost(true));
  if (answer.ok) sounds();
  const step = form.classList.contains("logger") && one("#step");
  if (step) step.value = answer.ok ? "" : step.value;
}

document.addEventListener("submit", (e) => {
  const form = e.target;
  if (form.method !== "post" || form.matches("[data-press], [data-whole]")) return;
  e.preventDefault();
  if (form.dataset.sending) return;
  form.dataset.sending = "yes"; // a glove that taps twice logs once
  send(form, e.submitter).catch(() => lost(true)).finally(() => delete form.dataset.sending);
});

/* --- sound ---------------------------------------------------------------- */

const kept = { keys: true, sound: true };
try { for (const k in kept) kept[k] = localStorage.getItem(k) !== "off"; } catch { /* it is not kept then */ }

let audio;
// sounds tells without looking up: one tone for what is as expected, two going
// down for anything else.
function sounds() {
  const done = one(".done");
  if (!done || !kept.sound || !window.AudioContext) return;
  audio = audio || new AudioContext();
  const tones = !done.dataset.verdict || done.dataset.verdict === "matching" ? [880] : [660, 440];
  document.body.dataset.sounded = tones.length;
  tones.forEach((hertz, i) => {
    const from = audio.currentTime + i * 0.13, tone = audio.createOscillator(), loud = audio.createGain();
    tone.frequency.value = hertz;
    loud.gain.setValueAtTime(0.15, from);
    loud.gain.exponentialRampToValueAtTime(0.001, from + 0.12);
    tone.connect(loud).connect(audio.destination);
    tone.start(from);
    tone.stop(from + 0.13);
  });
}

/* --- readings by keys ------------------------------------------------------ */

// A key counts in the empty field for the reading only, and can be switched off.
document.addEventListener("keydown", (e) => {
  if (!e.target.matches("[data-value]") || e.target.value || !kept.keys || e.ctrlKey || e.altKey || e.metaKey) return;
  const press = all("[data-key]").find((b) => b.dataset.key === e.key);
  if (!press) return;
  e.preventDefault();
  press.click();
});

document.addEventListener("change", (e) => {
  const keep = e.target.dataset && e.target.dataset.keep;
  if (!keep) return;
  kept[keep] = e.target.checked;
  try { localStorage.setItem(keep, e.target.checked ? "on" : "off"); } catch { /* it is not kept then */ }
  ready();
});

document.addEventListener("click", (e) => {
  const fill = e.target.closest && e.target.closest("[data-fill]");
  if (!fill) return;
  const step = one("#step"), text = fill.dataset.fill, at = text.indexOf("_");
  step.value = text.replace("_", "");
  step.focus();
  if (at >= 0) step.setSelectionRange(at, at);
});

// ready shows what works with scripts only, and tells plan.js of new parts.
function ready() {
  document.dispatchEvent(new Event("parts"));
  all(".choices, .fill").forEach((x) => { x.hidden = false; });
  all(".keys").forEach((x) => { x.hidden = !kept.keys; });
  all("[data-keep]").forEach((box) => { box.checked = kept[box.dataset.keep]; });
}

/* --- completion ------------------------------------------------------------ */

function completing(field) {
  const list = document.createElement("ul");
  list.className = "offers";
  list.id = "offers";
  list.hidden = true;
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", "what can stand here");
  field.after(list);
  for (const [name, value] of Object.entries({ role: "combobox", "aria-autocomplete": "list", "aria-expanded": "false", "aria-controls": "offers" })) field.setAttribute(name, value);

  let offers = [], at = -1, asks = 0, wait;
  const close = () => { asks++; clearTimeout(wait); offers = []; at = -1; list.hidden = true; field.setAttribute("aria-expanded", "false"); field.removeAttribute("aria-activedescendant"); };
  const mark = (i) => {
    at = i;
    [...list.children].forEach((li, k) => li.setAttribute("aria-selected", String(k === i)));
    if (i < 0) return field.removeAttribute("aria-activedescendant");
    field.setAttribute("aria-activedescendant", list.children[i].id);
    list.children[i].scrollIntoView({ block: "nearest" });
  };
  const choose = (i) => {
    const o = offers[i];
    field.value = o.left + (o.right || " ");
    field.setSelectionRange(o.left.length + (o.right ? 0 : 1), o.left.length + (o.right ? 0 : 1));
    close();
    field.focus();
  };
  const draw = (come) => {
    const marked = at >= 0 ? offers[at].text : "";
    offers = come;
    list.replaceChildren(...come.map((o, i) => {
      const li = document.createElement("li"), sort = document.createElement("span");
      li.id = "offer" + i;
      li.setAttribute("role", "option");
      li.textContent = o.text;
      sort.className = "soft";
      sort.textContent = o.sort;
      li.append(sort);
      li.addEventListener("pointerdown", (e) => { e.preventDefault(); choose(i); });
      return li;
    }));
    list.hidden = come.length === 0;
    field.setAttribute("aria-expanded", String(come.length > 0));
    mark(come.findIndex((o) => o.text === marked));
  };
  const ask = async () => {
    const mine = ++asks, caret = field.selectionStart;
    const query = new URLSearchParams({ left: field.value.slice(0, caret), right: field.value.slice(caret), on: one("#on").value });
    const answer = await fetch("/complete?" + query, { credentials: "same-origin" });
    if (answer.ok && mine === asks && document.activeElement === field) draw(await answer.json());
  };
  field.addEventListener("input", () => { clearTimeout(wait); wait = setTimeout(() => ask().catch(() => {}), 80); });
  field.addEventListener("blur", close);
  field.addEventListener("keydown", (e) => {
    if (list.hidden) {
      if (e.key === "ArrowDown") { e.preventDefault(); ask().catch(() => {}); }
      return;
    }
    const n = offers.length;
    if (e.key === "ArrowDown") mark((at + 1) % n);
    else if (e.key === "ArrowUp") mark(at <= 0 ? n - 1 : at - 1);
    else if (e.key === "Escape") close();
    else if (e.key === "Tab" && at >= 0) choose(at);
    else if (e.key === "Enter" && at >= 0) choose(at);
    else { if (e.key === "Enter") close(); return; }
    e.preventDefault();
  });
}

ready();
if (one("#q")) completing(one("#q"));
const press = one("form[data-press]");
if (press) press.submit();
