// What the page does when others change the base, or when nobody answers any more. It
// needs page.js, and works on pages that are marked data-live.
"use strict";

const lost = (is) => { one("#lost").hidden = !is; };

// The page listens to what changes while it is seen, so that pages in the background
// do not use up the few lines that a browser has to one server.
let stream, silence, later, missed = document.hidden;

// listen is told when the base has changed. What was missed meanwhile is asked for.
function listen() {
  clearTimeout(later);
  if (stream || document.hidden) return;
  const mine = stream = new EventSource("/live");
  stream.onopen = () => {
    heard();
    document.body.dataset.live = "on";
    one("#away").hidden = true;
    if (missed) refresh().catch(() => lost(true));
    missed = false;
  };
  stream.addEventListener("here", heard);
  stream.addEventListener("changed", () => { heard(); refresh().catch(() => lost(true)); });
  stream.onerror = () => {
    missed = true;
    if (mine.readyState !== EventSource.CLOSED) return lost(true); // the browser goes on trying
    deaf();
    refused().catch(() => { lost(true); again(); });
  };
}

// heard waits for the next sign: one comes every 15 seconds. Without any the line is
// dead, which the browser does not notice by itself for long.
function heard() {
  lost(false);
  clearTimeout(silence);
  silence = setTimeout(() => { lost(true); deaf(); listen(); }, 40000);
}

// deaf ends that the page listens.
function deaf() {
  clearTimeout(silence);
  clearTimeout(later);
  if (stream) stream.close();
  stream = undefined;
  missed = true;
}

const again = () => { clearTimeout(later); later = setTimeout(listen, 15000); };

// refused tells that the page is there but not for this browser any more; what is
// being typed stays. Otherwise too many listen, and one of them may leave.
async function refused() {
  const answer = await fetch(location.href, { credentials: "same-origin" });
  const no = answer.status === 403 || answer.redirected; // from the bench to where it can be let in
  one("#away").hidden = !no;
  lost(!no && !answer.ok);
  if (!no) again();
}

if ("live" in document.body.dataset) {
  listen();
  const look = () => (document.hidden ? deaf() : listen());
  document.addEventListener("visibilitychange", look);
  addEventListener("pagehide", deaf);
  addEventListener("pageshow", look); // by the button for going back
}
