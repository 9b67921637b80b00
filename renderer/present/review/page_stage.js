'use strict';
// page_stage.js - zoom and pan: where the frame of a picture lies on the stage.
//
// Model   `view` holds the frame's width in CSS px and the point of the frame, in shares of its width and height, that
//         lies in the middle of the stage. Shares hold for every variant of a scene, so flicking keeps zoom and place.
//         A px of a file is honest (1:1) where it is one px of the screen: 1 / devicePixelRatio CSS px.

const stage = At('stage');
const frame = At('frame');

const kKeyZoom = 1.25;
const kTapPx = 6, kTwiceMs = 350, kSwipePx = 60;
const kMostScreenPx = 8;  // of the screen a px of the file may become

const view = {
  file_px: {width: 1, height: 1},  // of what is shown
  width: 1, x: 0.5, y: 0.5,
  is_whole: true,
  least: 0,  // a width below the whole picture's that was asked for: seen from a distance, actual size
};
// What the other parts put in: a tap (was it of use?), a swipe (-1 or 1), what follows each layout, a wish for pins, a
// change of pins.
const stage_calls = {Tap: () => false, Swipe: () => {}, LaidOut: () => {}, PinsWanted: () => {}, Changed: () => {}};

function WholeWidth() {
  const {width, height} = view.file_px;
  return Math.min(stage.clientWidth, stage.clientHeight * width / height);
}

// Middles that leave no ground beside a picture larger than the stage.
function Within(middle, frame_side, stage_side) {
  const half = Math.min(0.5, stage_side / frame_side / 2);
  return Math.min(1 - half, Math.max(half, middle));
}

function Layout() {
  if (stage.clientWidth === 0) return;  // the viewer is closed
  const ratio = view.file_px.height / view.file_px.width;
  const whole = WholeWidth();
  if (view.is_whole) Object.assign(view, {width: whole, x: 0.5, y: 0.5});
  const most = Math.max(4 * whole, view.file_px.width * kMostScreenPx / devicePixelRatio);
  view.width = Math.min(most, Math.max(view.least || whole, view.width));
  const height = view.width * ratio;
  view.x = Within(view.x, view.width, stage.clientWidth);
  view.y = Within(view.y, height, stage.clientHeight);
  const on_screen_px = value => Math.round(value * devicePixelRatio) / devicePixelRatio;
  frame.style.left = `${on_screen_px(stage.clientWidth / 2 - view.x * view.width)}px`;
  frame.style.top = `${on_screen_px(stage.clientHeight / 2 - view.y * height)}px`;
  frame.style.width = `${view.width}px`;
  frame.style.height = `${height}px`;
  stage.classList.toggle('enlarged', view.width > whole * 1.001);
  stage_calls.LaidOut();
}

// Frame shares of a point of the window.
function ShareAt(client_x, client_y) {
  const box = frame.getBoundingClientRect();
  return {x: (client_x - box.left) / box.width, y: (client_y - box.top) / box.height};
}

const StageMiddle = () => {
  const box = stage.getBoundingClientRect();
  return {x: box.left + box.width / 2, y: box.top + box.height / 2};
};

// The point under (client_x, client_y) stays under it.
function ZoomBy(factor, client_x, client_y) {
  const share = ShareAt(client_x, client_y);
  const whole = WholeWidth();
  const width = view.width * factor;
  view.is_whole = Math.abs(width - whole) < 0.001 * whole || (!view.least && width < whole);
  view.width = width;
  Layout();
  const moved = ShareAt(client_x, client_y);
  PanBy((moved.x - share.x) * view.width, (moved.y - share.y) * frame.clientHeight);
}

function PanBy(right_px, down_px) {
  if (view.is_whole) return;
  view.x -= right_px / view.width;
  view.y -= down_px / frame.clientHeight;
  Layout();
}

function ShowWhole() {
  view.is_whole = true;
  view.least = 0;
  Layout();
}

// CSS px for each px of the file, about the present middle.
function ShowAtScale(css_px) {
  view.is_whole = false;
  view.width = view.file_px.width * css_px;
  view.least = view.width < WholeWidth() ? view.width : 0;
  Layout();
}

function ShowShare(x, y) {
  Object.assign(view, {x, y});
  Layout();
}

// --- pointers: drag, pinch, tap, tap twice, swipe

const pointers = new Map();
let gesture = null;  // {x, y, moved, pinched} since the first finger came down
let last_tap = {time: 0, x: 0, y: 0};

function Fingers() {
  const [a, b = a] = [...pointers.values()];
  return {x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.hypot(a.x - b.x, a.y - b.y)};
}

stage.addEventListener('pointerdown', event => {
  if (event.button !== 0 || event.target.closest('.pin, .divider')) return;
  stage.setPointerCapture(event.pointerId);
  pointers.set(event.pointerId, {x: event.clientX, y: event.clientY});
  gesture = pointers.size === 1 ? {x: event.clientX, y: event.clientY, moved: 0, pinched: false} : {...gesture, pinched: true};
});

stage.addEventListener('pointermove', event => {
  if (!pointers.has(event.pointerId)) return;
  const before = Fingers();
  pointers.set(event.pointerId, {x: event.clientX, y: event.clientY});
  const after = Fingers();
  gesture.moved = Math.max(gesture.moved, Math.hypot(after.x - gesture.x, after.y - gesture.y));
  if (before.apart > 0 && after.apart > 0) ZoomBy(after.apart / before.apart, before.x, before.y);
  if (gesture.pinched || gesture.moved > kTapPx) PanBy(after.x - before.x, after.y - before.y);
});

function PointerGone(event) {
  if (!pointers.delete(event.pointerId) || pointers.size > 0) return;
  if (event.type === 'pointercancel' || gesture.pinched) return;
  const {clientX: x, clientY: y, timeStamp: time} = event;
  if (gesture.moved <= kTapPx) {
    if (time - last_tap.time < kTwiceMs && Math.hypot(x - last_tap.x, y - last_tap.y) < 30) {
      last_tap.time = 0;
      TapTwice(x, y);
    } else {
      last_tap = {time, x, y};
    }
  } else if (view.is_whole && event.pointerType === 'touch') {
    const across = x - gesture.x;
    if (Math.abs(across) > kSwipePx && Math.abs(across) > 2 * Math.abs(y - gesture.y)) stage_calls.Swipe(across < 0 ? 1 : -1);
  }
}
stage.addEventListener('pointerup', PointerGone);
stage.addEventListener('pointercancel', PointerGone);
// A finger's click comes after it has moved the focus, so a tap may move it on.
stage.addEventListener('click', event => {
  if (event.target.closest('.pin, .divider') || !gesture || gesture.pinched || gesture.moved > kTapPx) return;
  if (stage_calls.Tap(event.clientX, event.clientY)) last_tap.time = 0;
});

// In: to one px of the file on each px of the screen, at least to 2.5 times; out: the whole picture.
function TapTwice(x, y) {
  if (!view.is_whole) return ShowWhole();
  ZoomBy(Math.max(2.5, view.file_px.width / devicePixelRatio / view.width), x, y);
}

stage.addEventListener('wheel', event => {
  event.preventDefault();
  const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
  // A pinch on a touch pad comes as a wheel with ctrl, in smaller steps.
  ZoomBy(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.002)), event.clientX, event.clientY);
}, {passive: false});

// returns  whether the key was one of ours.
function StageKey(key) {
  const middle = StageMiddle();
  const step = 0.1 * Math.min(stage.clientWidth, stage.clientHeight);
  const steps = {ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step]};
  if (key === '+' || key === '=') ZoomBy(kKeyZoom, middle.x, middle.y);
  else if (key === '-') ZoomBy(1 / kKeyZoom, middle.x, middle.y);
  else if (key === '0') ShowWhole();
  else if (key in steps) PanBy(...steps[key]);
  else return false;
  return true;
}

new ResizeObserver(() => Layout()).observe(stage);
