// Plans that are moved and made larger by touch, wheel, keys and buttons, and that
// tell of what is tapped. Without this file a plan is a picture.
"use strict";

(() => {
  const closest = 60; // units of the picture that fill the width at most: some 2 mm
  const finger = 22;  // pixels within which a tap finds something

  const opened = new WeakMap(); // figures and their plans

  async function open(figure) {
    const at = figure.dataset.open = figure.dataset.plan;
    const answer = await fetch(at, { credentials: "same-origin" });
    if (answer.status === 404 || answer.status === 422) return nothing(figure, "there is nothing to draw now");
    if (!answer.ok || !(answer.headers.get("Content-Type") || "").startsWith("image/svg")) return undrawn(figure);
    const come = new DOMParser().parseFromString(await answer.text(), "image/svg+xml");
    if (come.querySelector("parsererror") || figure.dataset.open !== at) return; // there is a newer one
    const svg = document.adoptNode(come.documentElement), whole = { w: +svg.getAttribute("width"), h: +svg.getAttribute("height") };
    for (const name of ["width", "height"]) svg.removeAttribute(name);
    svg.setAttribute("preserveAspectRatio", "xMidYMin meet");
    const plan = opened.get(figure) || made(figure);
    plan.board.querySelector("svg").replaceWith(svg);
    say(plan, "");
    const first = !plan.seen;
    Object.assign(plan, { svg, whole, next: -1, seen: plan.seen || { x: 0, y: 0, w: whole.w } });
    photo(plan);
    draw(plan);
    // What is picked on, or compared with a photo, is first seen whole; else the width is filled.
    if (first && ("pick" in figure.dataset || "photo" in figure.dataset)) all(plan);
    else show(plan);
  }

  // nothing leaves no picture of what was before, and tells why.
  function nothing(figure, why) {
    const plan = opened.get(figure);
    if (!plan) return figure.replaceChildren(why);
    plan.svg.replaceChildren();
    say(plan, why);
  }

  // undrawn is for a plan that may be drawn another time: it is asked for with the next parts.
  function undrawn(figure) {
    figure.dataset.open = "";
    nothing(figure, "the plan cannot be drawn now");
  }

  // made puts a plan without a picture in the place of the link to it, which has the picture for those
  // without scripts.
  function made(figure) {
    const board = document.createElement("div"), told = document.createElement("section");
    board.className = "board";
    board.tabIndex = 0;
    board.setAttribute("role", "application");
    board.setAttribute("aria-label", figure.dataset.shows + ". Arrow keys move it, plus and minus make it larger and smaller, n goes to the next thing that is marked, Enter " + ("pick" in figure.dataset ? "picks the middle" : "tells of what is in the middle"));
    told.className = "looked";
    told.tabIndex = -1;
    told.hidden = true;
    told.setAttribute("aria-live", "polite");
    told.setAttribute("aria-label", "what was tapped");
    const plan = { figure, board, told, svg: document.createElementNS("http://www.w3.org/2000/svg", "svg") };
    board.append(plan.svg, cross());
    figure.replaceChildren(board, buttons(plan), photobar(plan), told);
    opened.set(figure, plan);
    listen(plan);
    new ResizeObserver(() => { if (plan.seen) show(plan); }).observe(board);
    return plan;
  }

  // cross marks the middle for those who move the plan by keys.
  function cross() {
    const mark = document.createElement("div");
    mark.className = "cross";
    mark.setAttribute("aria-hidden", "true");
    return mark;
  }

  const ratio = (plan) => plan.board.clientHeight / plan.board.clientWidth || 1;

  // show keeps what is seen within the picture and draws it at the next frame.
  function show(plan) {
    const s = plan.seen, most = Math.max(plan.whole.w, plan.whole.h / ratio(plan));
    s.w = Math.min(Math.max(s.w, closest), most);
    const h = s.w * ratio(plan), rim = 0.25;
    s.x = Math.min(Math.max(s.x, -rim * s.w), plan.whole.w - (1 - rim) * s.w);
    s.y = Math.min(Math.max(s.y, -rim * h), Math.max(plan.whole.h - (1 - rim) * h, -rim * h));
    if (s.w >= plan.whole.w) s.x = (plan.whole.w - s.w) / 2;
    if (plan.waiting) return;
    plan.waiting = true;
    requestAnimationFrame(() => draw(plan));
  }

  function draw(plan) {
    plan.waiting = false;
    if (!plan.seen) return;
    const s = paper ? { x: 0, y: 0, w: plan.whole.w } : plan.seen, h = paper ? plan.whole.h : s.w * ratio(plan);
    plan.svg.setAttribute("viewBox", [s.x, s.y, s.w, h].map((n) => n.toFixed(2)).join(" "));
  }

  const unit = (plan) => plan.seen.w / plan.board.clientWidth; // of the picture for a pixel

  function move(plan, dx, dy) {
    plan.seen.x += dx * unit(plan);
    plan.seen.y += dy * unit(plan);
    show(plan);
  }

  // zoom makes larger by a factor; the point px, py of the board stays where it is.
  function zoom(plan, by, px = plan.board.clientWidth / 2, py = plan.board.clientHeight / 2) {
    const u = unit(plan), s = plan.seen;
    const w = Math.max(s.w / by, closest), v = w / plan.board.clientWidth;
    s.x += px * (u - v);
    s.y += py * (u - v);
    s.w = w;
    show(plan);
  }

  function all(plan) {
    plan.seen.x = plan.seen.y = 0;
    plan.seen.w = Infinity;
    show(plan);
  }

  // next goes to the thing that is marked next, and shows 12 times its size of what is round it.
  function next(plan) {
    const things = plan.svg.querySelectorAll("[data-thing]");
    if (things.length === 0) return;
    plan.next = (plan.next + 1) % things.length;
    const box = inPicture(plan, things[plan.next]);
    plan.seen.w = Math.max(12 * Math.max(box.w, box.h), 300);
    plan.seen.x = box.x + box.w / 2 - plan.seen.w / 2;
    plan.seen.y = box.y + box.h / 2 - plan.seen.w * ratio(plan) / 2;
    show(plan);
    say(plan, things[plan.next].querySelector("title").textContent);
  }

  // inPicture is the box of an element in the units of the whole picture.
  function inPicture(plan, element) {
    const box = element.getBBox(), to = plan.svg.getCTM().inverse().multiply(element.getCTM());
    const a = new DOMPoint(box.x, box.y).matrixTransform(to), b = new DOMPoint(box.x + box.width, box.y + box.height).matrixTransform(to);
    return { x: Math.min(a.x, b.x), y: Math.min(a.y, b.y), w: Math.abs(b.x - a.x), h: Math.abs(b.y - a.y) };
  }

  function say(plan, text) { plan.figure.querySelector(".saying").textContent = text; }

  function buttons(plan) {
    const row = document.createElement("p");
    row.className = "planbuttons";
    const step = () => 0.3 * plan.board.clientWidth;
    for (const [text, name, act] of [["+", "larger", () => zoom(plan, 1.6)], ["\u2212", "smaller", () => zoom(plan, 1 / 1.6)],
      ["all", "show all of it", () => all(plan)], ["next", "next thing that is marked", () => next(plan)],
      ["\u2190", "move left", () => move(plan, -step(), 0)], ["\u2192", "move right", () => move(plan, step(), 0)],
      ["\u2191", "move up", () => move(plan, 0, -step())], ["\u2193", "move down", () => move(plan, 0, step())]]) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = text;
      button.setAttribute("aria-label", name);
      button.title = name;
      button.addEventListener("click", act);
      row.append(button);
    }
    const saying = document.createElement("span");
    saying.className = "saying soft";
    saying.setAttribute("role", "status");
    row.append(saying);
    return row;
  }

  const keys = { ArrowLeft: (p) => move(p, -80, 0), ArrowRight: (p) => move(p, 80, 0), ArrowUp: (p) => move(p, 0, -80), ArrowDown: (p) => move(p, 0, 80),
    "+": (p) => zoom(p, 1.3), "=": (p) => zoom(p, 1.3), "-": (p) => zoom(p, 1 / 1.3), 0: (p) => all(p), n: (p) => next(p), Enter: (p) => middle(p) };

  function listen(plan) {
    const { board } = plan, down = new Map();
    let moved = 0;
    const spot = (e) => { const r = board.getBoundingClientRect(); return { x: e.clientX - r.left, y: e.clientY - r.top }; };
    board.addEventListener("keydown", (e) => {
      const act = keys[e.key];
      if (!act || e.ctrlKey || e.altKey || e.metaKey) return;
      e.preventDefault();
      act(plan);
    });
    // The wheel makes it larger where the plan has the focus; else the page rolls on.
    board.addEventListener("wheel", (e) => {
      if (document.activeElement !== board && !e.ctrlKey) return;
      e.preventDefault();
      const p = spot(e);
      zoom(plan, Math.exp(-e.deltaY / (e.deltaMode === 1 ? 12 : 400)), p.x, p.y);
    }, { passive: false });
    board.addEventListener("pointerdown", (e) => {
      if (e.button !== 0) return;
      board.setPointerCapture(e.pointerId);
      if (down.size === 0) moved = 0;
      down.set(e.pointerId, spot(e));
    });
    board.addEventListener("pointermove", (e) => {
      const was = down.get(e.pointerId), now = spot(e);
      if (!was) return;
      moved += Math.hypot(now.x - was.x, now.y - was.y);
      if (down.size === 1) move(plan, was.x - now.x, was.y - now.y);
      if (down.size === 2) pinch(plan, was, now, [...down].find(([id]) => id !== e.pointerId)[1]);
      down.set(e.pointerId, now);
    });
    const up = (e) => {
      const tap = down.size === 1 && down.has(e.pointerId) && moved < 10 && e.type === "pointerup";
      down.delete(e.pointerId);
      if (tap) tell(plan, e.clientX, e.clientY);
    };
    board.addEventListener("pointerup", up);
    board.addEventListener("pointercancel", up);
  }

  // pinch follows one of two fingers while the other stays.
  function pinch(plan, was, now, other) {
    const before = Math.hypot(was.x - other.x, was.y - other.y), after = Math.hypot(now.x - other.x, now.y - other.y);
    if (before < 1 || after < 1) return;
    zoom(plan, after / before, other.x, other.y);
  }

  function middle(plan) {
    const r = plan.board.getBoundingClientRect();
    tell(plan, r.left + r.width / 2, r.top + r.height / 2);
  }

  // tell shows all that is known of what is at a point of the window.
  async function tell(plan, cx, cy) {
    draw(plan); // what is asked for is where it is to be, not where it was
    const view = [...plan.svg.querySelectorAll("[data-edges]")].find((v) => within(v, cx, cy));
    if (!view) return;
    if ("pick" in plan.figure.dataset) return pick(plan, view, cx, cy);
    const hit = document.elementsFromPoint(cx, cy).map((e) => e.closest("[data-thing]")).find((t) => t && view.contains(t));
    const ask = new URLSearchParams({ on: view.dataset.role ? plan.figure.dataset.of : view.dataset.board, role: view.dataset.role });
    if (hit) ask.set("thing", hit.dataset.thing);
    else for (const [k, v] of Object.entries(spotIn(view, cx, cy))) ask.set(k, v);
    try {
      const answer = await fetch("/at?" + ask, { credentials: "same-origin" });
      tellOf(plan, new DOMParser().parseFromString(await answer.text(), "text/html"), answer);
    } catch { document.querySelector("#lost").hidden = false; }
  }

  // pick puts a place of a photo, in pixels, into the form that says what is there.
  function pick(plan, view, cx, cy) {
    const form = document.querySelector("form.picker"), p = inView(view, cx, cy);
    if (!form) return;
    form.elements.x.value = p.x.toFixed(1);
    form.elements.y.value = p.y.toFixed(1);
    mark(view, p);
    say(plan, `picked ${form.elements.x.value}, ${form.elements.y.value}: say what is there`);
    form.elements.is.focus();
  }

  // mark shows what was picked last.
  function mark(view, p) {
    const old = view.querySelector(".picked"), cross = document.createElementNS("http://www.w3.org/2000/svg", "path");
    const r = Number(view.dataset.size.split(" ")[0]) / 60;
    if (old) old.remove();
    cross.setAttribute("class", "picked");
    cross.setAttribute("d", `M${p.x - r} ${p.y}H${p.x + r}M${p.x} ${p.y - r}V${p.y + r}`);
    view.append(cross);
  }

  // strength is how much of the photo is seen under a plan, in per cent; it is kept.
  function strength(plan) {
    if ("photo" in plan.figure.dataset) return Number(plan.figure.dataset.photo);
    try { return Number(localStorage.getItem("photo") || 0); } catch { return 0; }
  }

  // photo shows the photos under a plan as strong as that. They are fetched when they are first seen.
  function photo(plan) {
    const images = [...plan.svg.querySelectorAll("image.photo[data-href]")], row = plan.figure.querySelector(".photobar");
    row.hidden = images.length === 0;
    const much = Number(row.querySelector("input").value);
    for (const image of images) {
      if (much > 0 && !image.hasAttribute("href")) image.setAttribute("href", image.dataset.href);
      image.setAttribute("opacity", much / 100);
    }
    plan.svg.classList.toggle("photographed", much > 0 && images.length > 0);
  }

  function photobar(plan) {
    const row = document.createElement("label"), slider = document.createElement("input");
    row.className = "photobar";
    slider.type = "range";
    slider.min = 0;
    slider.max = 100;
    slider.step = 10;
    slider.value = strength(plan);
    slider.addEventListener("input", () => {
      photo(plan);
      if ("photo" in plan.figure.dataset) plan.figure.dataset.photo = slider.value;
      else try { localStorage.setItem("photo", slider.value); } catch { /* it is not kept then */ }
    });
    row.append("photo ", slider);
    return row;
  }

  function tellOf(plan, come, answer) {
    const { told } = plan, body = come.querySelector("#answer"), head = document.createElement("h2"), close = document.createElement("button");
    close.type = "button";
    close.textContent = "Close";
    close.addEventListener("click", () => { told.hidden = true; plan.board.focus({ preventScroll: true }); });
    if (body && answer.ok) {
      const link = document.createElement("a");
      link.href = answer.url;
      link.textContent = come.querySelector("h1").textContent;
      head.append(link);
      body.removeAttribute("id");
      body.removeAttribute("data-part");
      told.replaceChildren(head, close, document.adoptNode(body));
    } else {
      head.textContent = (come.querySelector(".trouble strong") || { textContent: "that cannot be told now" }).textContent;
      told.replaceChildren(head, close);
    }
    told.hidden = false;
    told.focus({ preventScroll: true });
    told.scrollIntoView({ block: "nearest" });
  }

  const inView = (view, cx, cy) => new DOMPoint(cx, cy).matrixTransform(view.getScreenCTM().inverse());
  const numbers = (text) => text.split(" ").map(Number);

  function within(view, cx, cy) {
    const p = inView(view, cx, cy), [w, h] = numbers(view.dataset.size);
    return p.x >= 0 && p.x <= w && p.y >= 0 && p.y <= h;
  }

  // spotIn is the place on the board, in micrometres.
  function spotIn(view, cx, cy) {
    const p = inView(view, cx, cy), [w, h] = numbers(view.dataset.size), [left, top, right, low] = numbers(view.dataset.edges);
    const micro = Math.abs(right - left) / w / view.getScreenCTM().a; // for a pixel
    return { side: view.dataset.side, x: Math.round(left + (right - left) * p.x / w), y: Math.round(top + (low - top) * p.y / h), near: Math.round(finger * micro) };
  }

  // unpick takes the mark away of what was picked once the form with it has been sent.
  function unpick() {
    const figure = document.querySelector("figure[data-pick]"), form = document.querySelector("form.picker"), plan = figure && opened.get(figure);
    const cross = plan && plan.svg.querySelector(".picked");
    if (!cross || !form || form.elements.x.value !== "") return;
    cross.remove();
    say(plan, "");
  }

  // plans opens all plans that are not open, or are drawn anew.
  function plans() { for (const figure of document.querySelectorAll("figure.plan")) if (figure.dataset.open !== figure.dataset.plan) open(figure).catch(() => undrawn(figure)); }

  // On paper a plan is whole; what was seen of it is there again afterwards.
  let paper = false;
  for (const event of ["beforeprint", "afterprint"]) addEventListener(event, () => {
    paper = event === "beforeprint";
    for (const figure of document.querySelectorAll("figure.plan")) if (opened.has(figure)) draw(opened.get(figure));
  });

  document.addEventListener("parts", () => { unpick(); plans(); });
  plans();
})();
