'use strict';
// page_looking.js - how large the picture is shown, and what it is compared with.
//
// Model   a size is a scale: CSS px for each px of the file. Actual size needs the px of this screen for a mm, which the
//         client finds by holding a card of known size to it (ISO/IEC 7810, ID-1).

const kCardMm = {width: 85.60, height: 53.98};
const kCardKept = 'wheatpaste screen px per mm';

// Px of this screen for a mm, as the client measured it with a card; null: not yet.
let screen_px_per_mm = null;
try {
  screen_px_per_mm = Number(localStorage.getItem(kCardKept)) || null;
} catch {
  // Nothing is kept; it is measured when it is wanted.
}

// CSS px for a px of the file: as it is on the screen, or a placement in actual size; null: not known.
function ScaleFor(choice) {
  if (choice === 'pixels') return 1 / devicePixelRatio;
  const px_per_mm = Item().placements[choice]?.px_per_mm;
  return px_per_mm && screen_px_per_mm ? screen_px_per_mm / devicePixelRatio / px_per_mm : null;
}
const WidthFor = choice => ScaleFor(choice) && ScaleFor(choice) * view.file_px.width;

// After each layout: the choice of sizes tells how large the picture is.
function DrawZoom() {
  const size = At('size');
  if (!size.lastChild) return;
  const chosen = [...size.options].findIndex(({value}) => {
    const width = value === 'whole' ? null : WidthFor(value);
    return value === 'whole' ? view.is_whole : width !== null && Math.abs(width - view.width) < 0.01;
  });
  size.lastChild.textContent = `${(view.width / WholeWidth()).toFixed(1)} times`;
  size.lastChild.hidden = chosen >= 0;
  size.selectedIndex = chosen >= 0 ? chosen : size.options.length - 1;
}

async function ChooseSize(choice) {
  if (choice === 'whole') return ShowWhole();
  if (choice === 'card' || !ScaleFor(choice)) {
    const is_measured = await MeasureScreen();
    DrawWords();
    if (!is_measured || !ScaleFor(choice)) return DrawZoom();
  }
  const scale = ScaleFor(choice);
  const {width, height} = view.file_px;
  const [x, y] = Item().placements[choice]?.centre_px ?? [view.x * width, view.y * height];
  ShowAtScale(scale);
  ShowShare(x / width, y / height);
  if (choice === 'pixels') return Say('One pixel of the picture on each pixel of this screen.');
  const place = PlaceWords(Item().placements[choice]);
  const soft = scale * devicePixelRatio > 1.5
    ? ' The picture has fewer pixels than this needs, and looks softer than the print.' : '';
  Say(`Actual size, where the print on “${place}” has its middle: a ruler on the screen measures true there.${soft}`);
}

// --- the screen's mm, from a card's outline: kept as px of the screen, so that the browser's own zoom does not matter

function CardCssPx() {
  return screen_px_per_mm ? screen_px_per_mm * kCardMm.width / devicePixelRatio : 325;  // a usual screen's 96 px an inch
}

function DrawCard(css_px) {
  const range = At('card-size');
  range.value = css_px;  // which holds it within what a screen can be
  range.setAttribute('aria-valuetext', `${Math.round(range.value)} pixels wide`);
  At('card-outline').style.setProperty('--card', `${range.value}px`);
}

// returns  a promise: whether the client said that outline and card match.
function MeasureScreen() {
  const dialog = At('card');
  dialog.returnValue = '';
  dialog.showModal();
  DrawCard(CardCssPx());
  return new Promise(resolve => dialog.addEventListener('close', () => resolve(dialog.returnValue === 'match'), {once: true}));
}

OnClick('card-done', () => {
  screen_px_per_mm = At('card-size').valueAsNumber * devicePixelRatio / kCardMm.width;
  try {
    localStorage.setItem(kCardKept, screen_px_per_mm);
  } catch {
    // It holds until the page is closed.
  }
  At('card').close('match');
});
OnClick('card-cancel', () => At('card').close());
At('card-size').addEventListener('input', event => DrawCard(event.target.valueAsNumber));
At('card-corner').addEventListener('pointerdown', event => {
  event.preventDefault();
  At('card-corner').setPointerCapture(event.pointerId);
});
At('card-corner').addEventListener('pointermove', event => {
  if (event.buttons === 0) return;
  // The corner follows the pointer along the outline's diagonal; on narrow screens the card stands upright.
  const box = At('card-outline').getBoundingClientRect();
  const right = event.clientX - box.left, down = event.clientY - box.top;
  const ratio = kCardMm.width / kCardMm.height;
  DrawCard(box.height > box.width ? Math.max(right * ratio, down) : Math.max(right, down * ratio));
});

// --- compare

let compared = '';        // what lies left of the divider: '', 'blank', 'self' or the number of an item
let divider_share = 0.5;  // of the part of the stage that the picture covers

// {name, picture} of it, seen as what is shown is seen; null: nothing is compared.
function Compared() {
  if (compared === '') return null;
  if (compared === 'blank') return {name: 'blank photo', picture: Scene().blank};
  if (compared === 'self') return {name: 'as it is', picture: Item().picture};
  const {name, picture, views} = data.items[compared];
  return {name, picture: views[SameView(compared)]?.picture ?? picture};
}

function Compare(value) {
  compared = value;
  divider_share = 0.5;
  At('compare').value = value;
  DrawPicture();
  Layout();
  Say(compared ? `Left of the divider: ${Compared().name}. Drag the divider, or move it by the arrow keys.` : '');
}

// Left and right of what the stage shows of the picture, in px of the stage.
function SeenSpan() {
  return [Math.max(0, frame.offsetLeft), Math.min(stage.clientWidth, frame.offsetLeft + frame.offsetWidth)];
}

function PlaceDivider() {
  DrawZoom();
  const divider = At('divider');
  for (const id of ['divider', 'left-name', 'right-name']) At(id).hidden = !compared;
  stage.classList.toggle('comparing', Boolean(compared));
  if (!compared) return;
  const {name} = Compared();
  const [left, right] = SeenSpan();
  const x = left + divider_share * (right - left);
  divider.style.left = `${x}px`;
  const percent = Math.round(100 * divider_share);
  divider.setAttribute('aria-valuenow', percent);
  divider.setAttribute('aria-valuetext', `${percent} % ${name}, ${100 - percent} % ${Item().name}`);
  const other = frame.querySelector('.compared-picture');
  if (other) other.style.clipPath = `inset(0 ${Math.max(0, frame.offsetLeft + frame.offsetWidth - x)}px 0 0)`;
  At('left-name').textContent = name;
  At('right-name').textContent = shown.view < 0 ? Item().name : Shown().label;
}

function MoveDivider(share) {
  divider_share = Math.min(1, Math.max(0, share));
  PlaceDivider();
}

At('divider').addEventListener('pointermove', event => {
  if (event.buttons === 0) return;
  const [left, right] = SeenSpan();
  MoveDivider((event.clientX - stage.getBoundingClientRect().left - left) / (right - left));
});
At('divider').addEventListener('pointerdown', event => At('divider').setPointerCapture(event.pointerId));
At('divider').addEventListener('keydown', event => {
  const step = event.shiftKey ? 0.1 : 0.02;
  const to = {ArrowLeft: divider_share - step, ArrowRight: divider_share + step, ArrowDown: divider_share - step,
    ArrowUp: divider_share + step, Home: 0, End: 1}[event.key];
  if (to === undefined) return;
  event.preventDefault();
  event.stopPropagation();
  MoveDivider(to);
});
