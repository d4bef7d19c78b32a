/* What the pages need a script for: hearing a moment, words that run along, keys, live state. All of it is an addition:
   without it the links lead to the recording's page and the forms work. */
"use strict";

const LEAD = 0.4; // seconds played before and after the words
const player = document.getElementById("player");
const sound = document.getElementById("sound");
const picture = document.getElementById("picture");
const playing = document.getElementById("playing");
const clips = player ? JSON.parse(player.dataset.clips) : [];
const state = { clip: null, media: sound, until: null, small: false, button: null, following: null, cues: [], seek: null };

/* ------------------------------------------------------------------------------------------------- the player */

function clipAt(recording, at) {
  const own = clips.filter((c) => c.recording === recording);
  return own.filter((c) => c.start <= at + 0.001).pop() || own[0];
}

function smallCopy(clip) {
  const form = sound.canPlayType('audio/webm; codecs="opus"') ? "webm" : "m4a";
  return `/sound/${clip.clip}.${form}`;
}

/* The file itself where the browser may know its kind, else the small copy of its sound. */
function choose(clip) {
  load(clip, !(clip.video ? picture : sound).canPlayType(clip.type));
}

function load(clip, small) {
  const media = clip.video && !small ? picture : sound;
  for (const other of [sound, picture]) if (other !== media) other.pause();
  picture.hidden = media !== picture;
  sound.hidden = media === picture;
  player.classList.add("on");
  document.body.classList.add("with-player");
  state.clip = clip;
  state.small = small;
  state.media = media;
  media.src = small ? smallCopy(clip) : `/media/${clip.clip}`;
  say(small ? `${clip.name}: making the sound ready…` : clip.name);
  media.load();
}

function say(text) {
  if (playing.textContent !== text) playing.textContent = text;
}

/* Play from a moment of a recording, to `end` where one is given; seconds from the recording's start. */
function hear(recording, start, end, button) {
  const clip = clipAt(recording, start);
  if (!clip) {
    if (playing) say("There is no sound to play for this one; it was read from captions.");
    return false;
  }
  if (state.clip !== clip) choose(clip);
  state.until = end === undefined ? null : end - clip.start + LEAD;
  mark(button);
  state.seek = Math.max(start - clip.start - (end === undefined ? 0 : LEAD), 0);
  if (state.media.readyState >= 1) begin();
  follow(recording);
  return true;
}

function begin() {
  const to = state.seek;
  state.seek = null;
  if (to === null) return;
  state.media.currentTime = to;
  say(state.clip.name);
  state.media.play().catch(() => say(`${state.clip.name}: press play.`));
}

function mark(button) {
  if (state.button) state.button.classList.remove("sounding");
  state.button = button || null;
}

async function failed() {
  if (!state.clip || !state.media.getAttribute("src")) return;
  if (!state.small) {
    const to = state.seek === null ? state.media.currentTime : state.seek;
    load(state.clip, true);
    state.seek = to;
    return;
  }
  mark(null);
  const answer = await fetch(state.media.src, { headers: { Range: "bytes=0-0" } }).catch(() => null);
  const text = answer && !answer.ok ? new DOMParser().parseFromString(await answer.text(), "text/html") : null;
  const sentence = text && text.querySelector(".sentence");
  say(sentence ? sentence.textContent : `${state.clip.name} can't be played here.`);
}

function moved(event) {
  const media = event.target;
  if (media !== state.media) return;
  if (state.until !== null && media.currentTime >= state.until) {
    state.until = null;
    media.pause();
  }
  runAlong(state.clip.start + media.currentTime);
}

function ended() {
  const next = clips.find((c) => c.recording === state.clip.recording && c.start > state.clip.start);
  if (next && state.until === null) hear(next.recording, next.start);
}

if (player) {
  for (const media of [sound, picture]) {
    media.addEventListener("loadedmetadata", begin);
    media.addEventListener("timeupdate", moved);
    media.addEventListener("ended", ended);
    media.addEventListener("error", failed);
    media.addEventListener("play", () => state.button && state.button.classList.add("sounding"));
    media.addEventListener("pause", () => state.button && state.button.classList.remove("sounding"));
  }
  // A video whose pictures can't be shown here plays as sound.
  picture.addEventListener("loadeddata", () => picture.videoWidth === 0 && failed());
  if (document.getElementById("transcript") && clips.length) choose(clips[0]);
}

/* ------------------------------------------------------------------------------------- words that run along */

async function follow(recording) {
  const box = document.querySelector("[data-follow]");
  if (!box || state.following === recording) {
    if (!state.cues.length) collect();
    return;
  }
  state.following = recording;
  const found = await partOf(`/recording/${recording}`, "transcript");
  if (state.following !== recording || !found) return;
  box.replaceChildren(found);
  collect();
  if (state.clip) runAlong(state.clip.start + state.media.currentTime);
}

function collect() {
  state.cues = [...document.querySelectorAll("#transcript .cue")];
}

function runAlong(at) {
  const list = document.getElementById("transcript");
  if (!list || Number(list.dataset.recording) !== state.clip.recording) return;
  let now = null;
  for (const cue of state.cues) {
    if (Number(cue.dataset.start) > at + 0.05) break;
    now = cue;
  }
  if (now && now.classList.contains("now")) return;
  for (const cue of list.querySelectorAll(".now")) cue.classList.remove("now");
  if (!now) return;
  now.classList.add("now");
  const box = list.closest("#follow") || list;
  if (!list.contains(document.activeElement) && box.scrollHeight > box.clientHeight)
    box.scrollTop += now.getBoundingClientRect().top - box.getBoundingClientRect().top - box.clientHeight / 3;
}

/* ------------------------------------------------------------------------------------------ clicks and keys */

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-start]");
  if (link && player && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    event.preventDefault();
    if (link === state.button && !state.media.paused) {
      state.media.pause();
      return;
    }
    const end = link.dataset.end === undefined ? undefined : Number(link.dataset.end);
    hear(Number(link.dataset.recording), Number(link.dataset.start), end, link.classList.contains("play") ? link : null);
    return;
  }
  const right = event.target.closest("a.right");
  if (right && !event.ctrlKey && !event.metaKey && !event.shiftKey && window.HTMLDialogElement) {
    event.preventDefault();
    putRight(right.href).catch(() => window.location.assign(right.href));
  }
});

/* The form of a fact over the page, so that what plays goes on. */
async function putRight(address) {
  const form = await partOf(address, "put-right");
  if (!form) throw new Error("no form");
  const dialog = document.createElement("dialog");
  dialog.setAttribute("aria-labelledby", "fact-title");
  const close = document.createElement("button");
  close.type = "button";
  close.className = "close quiet";
  close.textContent = "Close";
  close.addEventListener("click", () => dialog.close());
  dialog.append(close, form);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  const first = dialog.querySelector("input[name=number]");
  if (first) first.select();
}

const cards = [...document.querySelectorAll("[data-card][tabindex]")];

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input, select, textarea, audio, video, dialog")) return;
  const card = event.target.closest("[data-card][tabindex]");
  if (!card) return;
  const steps = { j: 1, ArrowDown: 1, k: -1, ArrowUp: -1 };
  let press = null;
  if (steps[event.key]) {
    const next = cards[cards.indexOf(card) + steps[event.key]];
    if (next) next.focus();
  } else if (event.key === "p") press = card.querySelector(".play");
  else if (event.key === "u") press = document.querySelector('[data-key="u"]');
  else if ("acx".includes(event.key) && event.key.length === 1) press = card.querySelector(`[data-key="${event.key}"]`);
  else return;
  event.preventDefault();
  if (!press) return;
  press.click();
  if (event.key === "c" && press.parentElement.open) press.parentElement.querySelector("input[name=number]").focus();
});

// Where the keys work, they work at once. A change opened by its key starts in its first field.
if (cards.length && !window.location.hash) cards[0].focus({ preventScroll: true });
for (const summary of document.querySelectorAll('summary[data-key="c"]'))
  summary.parentElement.addEventListener("toggle", () => summary.parentElement.open && summary.parentElement.querySelector("input[name=number]").focus());

// A link to a moment ("?at=75.4") is ready to be played there.
const at = new URLSearchParams(window.location.search).get("at");
const shown = document.getElementById("transcript");
if (at && shown && player && Number.isFinite(Number(at))) {
  collect();
  const clip = clipAt(Number(shown.dataset.recording), Number(at));
  if (clip) sound.addEventListener("loadedmetadata", () => { sound.currentTime = Number(at) - clip.start; }, { once: true });
}

/* Parts that take a moment are fetched when they come into view. */
async function fill(box) {
  const part = await partOf(box.dataset.fill, box.dataset.part);
  if (part) box.replaceChildren(...part.childNodes);
}

async function partOf(address, id) {
  const answer = await fetch(address).catch(() => null);
  if (!answer || !answer.ok) return null;
  const part = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(id);
  return part && document.importNode(part, true);
}

const inView = new IntersectionObserver((entries) => {
  for (const entry of entries) if (entry.isIntersecting) {
    inView.unobserve(entry.target);
    fill(entry.target);
  }
}, { rootMargin: "600px" });
for (const box of document.querySelectorAll("[data-fill]")) inView.observe(box);

/* ------------------------------------------------------------------------------------------------ live state */

const live = document.querySelector("[data-live]");
let version = null;

async function watch() {
  const answer = await fetch(live.dataset.live).catch(() => null);
  if (answer && answer.ok) {
    const now = await answer.json();
    for (const one of now.hearing) {
      const bar = document.querySelector(`progress[data-recording="${Number(one.id)}"]`);
      if (!bar) continue;
      bar.value = one.share;
      const share = bar.parentElement.querySelector(".share");
      if (share) share.textContent = `${Math.round(one.share * 100)} %${one.left ? `, about ${one.left} left` : ""}`;
    }
    if (version !== null && version !== now.version) await renew();
    version = now.version;
  }
  window.setTimeout(watch, document.hidden ? 15000 : 2000);
}

/* Read the page again and take over the part that shows the state. */
async function renew() {
  const fresh = await partOf(window.location.href, "live");
  const old = document.getElementById("live");
  if (fresh && old && !old.contains(document.activeElement)) old.replaceChildren(...fresh.childNodes);
}

if (live) watch();
