'use strict';
// page_viewer.js - one picture opened: which it is, what is said of it, and the way to the others.
//
// Model   `shown` is an item and one of its views, or -1: the picture itself. Within a scene zoom and place stay; a view
//         that is as large as the thing is seen from a distance has a frame of its own size.

const viewer = At('viewer');
const kArcMinute = Math.PI / 180 / 60;

const shown = {item: -1, view: -1};
let drawn = 0;  // counts what was asked for: a picture that comes late is passed over

const Item = () => data.items[shown.item];
const Scene = () => data.scenes[Item().scene];
const Shown = () => Item().views[shown.view] ?? Item();
const Variants = () => data.items.flatMap((item, index) => item.scene === Item().scene ? [index] : []);
const FilePx = ({width, height, scale}) => ({width: width / scale, height: height / scale});
// The view of another item that has the name of the one shown; -1: none, or the picture itself is shown.
const SameView = index => shown.item < 0 ? -1 : data.items[index].views.findIndex(({label}) => label === Shown().label);
const IsFar = ({from_metres}) => Boolean(from_metres);

function Show(item_index, view_index = SameView(item_index)) {
  const was_far = shown.item >= 0 && IsFar(Shown());
  const same_view = view_index === SameView(item_index);
  const same_scene = shown.item >= 0 && Item().scene === data.items[item_index].scene;
  Object.assign(shown, {item: item_index, view: view_index});
  if (!same_scene || !same_view || IsFar(Shown())) compared = '';
  if (!same_scene) frame.replaceChildren();  // what is held there has another frame
  view.file_px = FilePx(Shown().picture);
  SetAddress(`#view-${item_index}`);
  ShowPinsOf(Shown().file);
  DrawWords();
  DrawChoices();
  DrawPicture();
  DrawStrip();
  DrawAnswer();
  if (IsFar(Shown())) ShowAtScale(1 / devicePixelRatio);
  else if (!same_scene || was_far) ShowWhole();
  else Layout();
}

async function DrawPicture() {
  const mine = ++drawn;
  if (!frame.querySelector('.main-picture')) {
    // Until the large picture is there, the small one of the grid stands in for it.
    const small = document.querySelector(`#item-${shown.item} img`);
    SetPicture('main-picture', Make('img', {src: small.src}));
  }
  try {
    const [main, other] = await Promise.all([Picture(Shown().picture), compared && Picture(Compared().picture)]);
    if (mine !== drawn) return;
    SetPicture('main-picture', main);
    SetPicture('compared-picture', other);
    Layout();
    ReadAhead();
  } catch {
    if (mine !== drawn) return;
    SetPicture('compared-picture', null);
    SetPicture('main-picture', document.querySelector(`#item-${shown.item} img`).cloneNode());
    Say(data.linked ? 'The large picture is missing: the folder of pictures must lie beside this page.'
      : 'The large picture cannot be read.', true);
  }
}

function SetPicture(name, image) {
  const old = frame.querySelector(`.${name}`);
  if (old === image) return;
  old?.remove();
  if (!image) return;
  image.className = name;
  image.alt = name === 'main-picture' ? Shown().alt ?? `${Item().alt}, ${Shown().label}` : '';
  image.style.clipPath = '';
  frame.prepend(image);
}

// The next of the scene, so that flicking to it is at once.
function ReadAhead() {
  const variants = Variants();
  const next = variants[(variants.indexOf(shown.item) + 1) % variants.length];
  const {picture, views} = data.items[next];
  Picture(views[SameView(next)]?.picture ?? picture).catch(() => {});
}

// --- words and choices

function DrawWords() {
  At('viewer-name').textContent = Item().name;
  At('viewer-place').textContent = `${Scene().title} (${shown.item + 1} of ${data.items.length})`;
  stage.setAttribute('aria-label', `Picture: ${Item().alt}`);
  const note = SeenNote();
  At('seen-note').hidden = !note;
  At('seen-note').textContent = note;
  DrawFacts();
}

// Several of one name stand under it.
function DrawFacts() {
  const {placements, condition, warnings, notes} = Item();
  const facts = [
    ...placements.map(placed => [`Printed size, ${PlaceWords(placed)}`, [SizeWords(placed)]]),
    ['Print condition', [condition ?? 'none chosen']],
    ...(warnings.length > 0 ? [['Please note', warnings]] : []),
  ];
  At('facts').replaceChildren(...facts.flatMap(([name, texts]) =>
    [Make('dt', {textContent: name}), ...texts.map(text => Make('dd', {textContent: text}))]));
  At('notes-part').hidden = notes.length === 0;
  At('notes').replaceChildren(...Lines(notes));
}

// As the grid writes them: a tenth of a mm matters to small things.
const Mm = value => String(value < 100 ? Math.round(value * 10) / 10 : Math.round(value));
// The surface; where several things lie on it, which of them.
function PlaceWords({surface, artwork}) {
  const is_alone = Item().placements.filter(other => other.surface === surface).length === 1;
  return is_alone ? surface : `${artwork} on ${surface}`;
}
const SizeWords = ({width_mm, height_mm}) =>
  width_mm && height_mm ? `${Mm(width_mm)} × ${Mm(height_mm)} mm` : 'size not known';

// In words what a view is. A px of a view from a distance is one minute of arc, so the screen shows it true from where
// its own px is one.
function SeenNote() {
  const {from_metres, vision} = Shown();
  const words = [];
  if (from_metres) {
    words.push(`As large, and with as much detail, as it is seen from ${from_metres} m: each pixel of this screen ` +
      'stands for one minute of arc, about the finest an eye can tell apart.');
    words.push(screen_px_per_mm
      ? `It is true when your eyes are ${Math.round(0.1 / screen_px_per_mm / Math.tan(kArcMinute))} cm from this screen.`
      : 'Measure this screen with a card (under Size) and this page tells from how near to look.');
  }
  if (vision) words.push(`As eyes with a deficiency of colour vision (${vision}) see it.`);
  return words.join(' ');
}

function SetOptions(select, options, value) {
  select.replaceChildren(...options.map(([option, text, disabled = false]) =>
    Make('option', {value: option, textContent: text, disabled})));
  select.value = value;
}

function DrawChoices() {
  const others = Variants().filter(index => index !== shown.item);
  SetOptions(At('compare'), [
    ['', 'nothing'],
    ...(Scene().blank ? [['blank', 'blank photo']] : []),
    ...(shown.view >= 0 ? [['self', 'the picture as it is']] : []),
    ...others.map(index => [String(index), data.items[index].name]),
  ], compared);
  compared = At('compare').value ||= '';  // where it has become what is shown: nothing
  At('compare').disabled = IsFar(Shown());
  const views = Item().views.map(({label}, index) => [String(index), label]);
  SetOptions(At('seen'), [['-1', 'as it is'], ...views], String(shown.view));
  At('seen-choice').hidden = views.length === 0;
  SetOptions(At('size'), [
    ['whole', 'the whole'],
    ['pixels', 'own pixels'],
    ...Item().placements.map((placed, index) => placed.px_per_mm && !IsFar(Shown())
      ? [String(index), `actual size: ${PlaceWords(placed)}, ${SizeWords(placed)}`]
      : [String(index), `actual size: ${PlaceWords(placed)}, not known here`, true]),
    ['card', 'measure this screen…'],
    ['free', ''],
  ], 'whole');
  DrawZoom();
}

// --- strip and answer

function DrawStrip() {
  const had_focus = At('strip').contains(document.activeElement);
  At('strip').replaceChildren(Make('ul', {}, ...Variants().map(index => {
    const {name} = data.items[index];
    const small = Make('img', {src: document.querySelector(`#item-${index} img`).src, alt: '', decoding: 'async'});
    const button = Make('button', {type: 'button', onclick: () => Show(index)}, small, Make('span', {textContent: name}));
    if (index === shown.item) button.setAttribute('aria-current', 'true');
    return Make('li', {}, button);
  })));
  const current = At('strip').querySelector('[aria-current]');
  At('strip').scrollLeft = current.offsetLeft - (At('strip').clientWidth - current.offsetWidth) / 2;  // and nothing else scrolls
  if (had_focus) current.focus();
}

function DrawAnswer() {
  const {verdict, favourite} = AnswerOf(Item().file);
  At('approve').setAttribute('aria-pressed', verdict === 'approved');
  At('change').setAttribute('aria-pressed', verdict === 'change');
  At('favourite').setAttribute('aria-pressed', favourite);
}

function Answer(change) {
  change(Item().file);
  PinsChanged();
  DrawAnswer();
}

function Judge(verdict) {
  Answer(file => {
    const answer = AnswerToChange(file);
    answer.verdict = answer.verdict === verdict ? null : verdict;
  });
}

// --- going about

const Step = by => Show((shown.item + by + data.items.length) % data.items.length);

// The same artwork and colourway on another scene; where it has none, that scene's first.
function StepScene(by) {
  const count = data.scenes.length;
  for (let scene = Item().scene + by, tried = 1; tried < count; ++tried, scene += by) {
    const there = data.items.flatMap((item, index) => item.scene === (scene + count) % count ? [index] : []);
    if (there.length === 0) continue;
    return Show(there.find(index => data.items[index].name === Item().name) ?? there[0]);
  }
}

// Nothing but the picture and what leads back.
function ShowAlone(alone = !viewer.classList.contains('alone')) {
  viewer.classList.toggle('alone', alone);
  At('alone').setAttribute('aria-pressed', alone);
}

function OpenViewer(item_index) {
  if (!viewer.open) {
    document.documentElement.classList.add('viewing');
    viewer.showModal();
  }
  Show(item_index);
  stage.focus({preventScroll: true});
}

function CloseViewer() {
  StopPlacing();
  LeavePins();
  viewer.close();
}

// However it was closed.
viewer.addEventListener('close', () => {
  document.documentElement.classList.remove('viewing');
  SetAddress('#');
  document.querySelector(`#item-${shown.item} .open`).focus();
  compared = '';
  shown.item = -1;
  frame.replaceChildren();
  pins_file = null;
});

viewer.addEventListener('cancel', event => {
  if (event.target !== viewer) return;
  if (CancelPlacing()) event.preventDefault();
  else LeavePins();
});

let letter_keys = true;

viewer.addEventListener('keydown', event => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest('textarea, input, select')) return;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (key.length === 1 ? !letter_keys : event.target.closest('.panel')) return;  // the panel scrolls by its keys
  const variant = Number(key) >= 1 ? Variants()[Number(key) - 1] : undefined;
  const actual = Item().placements.findIndex(({px_per_mm}) => px_per_mm);
  if (key === 'n') Step(1);
  else if (key === 'p') Step(-1);
  else if (key === 'PageDown') StepScene(1);
  else if (key === 'PageUp') StepScene(-1);
  else if (variant !== undefined) Show(variant);
  else if (key === 'd' && Scene().blank && !At('compare').disabled) Compare(compared ? '' : 'blank');
  else if (key === 'a' && actual >= 0) ChooseSize(String(actual));
  else if (key === 'c') AddPin();
  else if (key === 'f') ShowAlone();
  else if (!StageKey(event.key)) return;
  event.preventDefault();
});

stage_calls.Tap = PutPin;
stage_calls.Swipe = Step;
stage_calls.LaidOut = PlaceDivider;
stage_calls.PinsWanted = () => {
  ShowAlone(false);
  if (compared) Compare('');
};
OnClick('alone', () => ShowAlone());
OnClick('viewer-close', CloseViewer);
OnClick('previous', () => Step(-1));
OnClick('next', () => Step(1));
OnClick('zoom-in', () => StageKey('+'));
OnClick('zoom-out', () => StageKey('-'));
OnClick('add-pin', AddPin);
OnClick('approve', () => Judge('approved'));
OnClick('change', () => Judge('change'));
OnClick('favourite', () => Answer(file => SetFavourite(shown.item, !AnswerOf(file).favourite)));
At('size').addEventListener('change', event => ChooseSize(event.target.value));
At('compare').addEventListener('change', event => Compare(event.target.value));
At('seen').addEventListener('change', event => Show(shown.item, Number(event.target.value)));
