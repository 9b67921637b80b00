'use strict';
// page_pins.js - pins on the picture that is shown, and the list of their comments.
//
// Model   a pin is part of the answers from the moment it stands on the picture; one that is left without words goes
//         again. `placing` is the pin that waits for its place: the next tap on the picture puts it there.

const kPinStep = 0.01;  // of the stage's shorter side, for an arrow key; five times that with Shift

let pins_file = null;
let placing = null;
let deleted = null;  // the last pin taken away, while its picture is shown

const PinsShown = () => AnswerOf(pins_file).pins;
const PinButton = pin => At(`pin-${pin.id}`);
const PinField = pin => At(`comment-${pin.id}`);

function PinsChanged() {
  Keep();
  stage_calls.Changed();
}

// Shows the pins of another file; those without words on the last one go.
function ShowPinsOf(file) {
  LeavePins();
  pins_file = file;
  DrawPins();
}

function LeavePins() {
  placing = deleted = null;
  if (pins_file === null) return;
  const wordy = PinsShown().filter(pin => pin.text.trim() !== '');
  if (wordy.length < PinsShown().length) {
    AnswerToChange(pins_file).pins = wordy;
    PinsChanged();
  }
  stage.classList.remove('placing');
}

function PlacePinButton(pin) {
  const button = PinButton(pin);
  button.style.left = `${100 * pin.x}%`;
  button.style.top = `${100 * pin.y}%`;
}

function MovePin(pin, x, y) {
  pin.x = Math.round(1e5 * Math.min(1, Math.max(0, x))) / 1e5;
  pin.y = Math.round(1e5 * Math.min(1, Math.max(0, y))) / 1e5;
  PlacePinButton(pin);
  Keep();
}

function DrawPins() {
  for (const old of frame.querySelectorAll('.pin')) old.remove();
  const list = At('comments');
  list.replaceChildren();
  PinsShown().forEach((pin, index) => {
    frame.append(NewPinButton(pin, index + 1));
    PlacePinButton(pin);
    list.append(NewComment(pin, index + 1));
  });
  if (deleted) {
    list.append(Make('li', {className: 'deleted'}, 'Comment deleted. ',
      Make('button', {type: 'button', id: 'bring-back', textContent: 'Bring it back', onclick: BringBack})));
  }
  At('no-comments').hidden = list.childElementCount > 0;
}

const PinLabel = (pin, number) => `Pin ${number}: ${pin.text.trim() || 'no words yet'}`;

function NewPinButton(pin, number) {
  const button = Make('button', {type: 'button', className: 'pin', id: `pin-${pin.id}`,
    'aria-label': PinLabel(pin, number)}, Make('span', {textContent: number}));
  button.addEventListener('keydown', event => PinKey(event, pin));
  button.addEventListener('focus', () => { MarkPin(pin); SeePin(pin); });
  DragPin(button, pin);
  return button;
}

function NewComment(pin, number) {
  const field = Make('textarea', {id: `comment-${pin.id}`, rows: 3, maxLength: kMaxText, value: pin.text});
  field.addEventListener('input', () => {
    pin.text = Clean(field.value);
    PinButton(pin).setAttribute('aria-label', PinLabel(pin, number));
    PinsChanged();
  });
  field.addEventListener('focus', () => { StopPlacing(); MarkPin(pin); SeePin(pin); });
  return Make('li', {className: 'comment'},
    Make('label', {htmlFor: field.id}, Make('span', {className: 'number', textContent: number}), ' Your comment'),
    field,
    Make('div', {className: 'buttons'},
      Make('button', {type: 'button', textContent: 'Move its pin', 'aria-label': `Move its pin, comment ${number}`,
        onclick: () => StartPlacing(pin)}),
      Make('button', {type: 'button', textContent: 'Delete', 'aria-label': `Delete comment ${number}`,
        onclick: () => DeletePin(pin)})));
}

function MarkPin(pin) {
  for (const button of frame.querySelectorAll('.pin')) button.classList.toggle('chosen', button === PinButton(pin));
}

// A pin that is chosen out of sight is brought into it.
function SeePin(pin) {
  const box = stage.getBoundingClientRect();
  const at = PinButton(pin).getBoundingClientRect();
  const x = (at.left + at.right) / 2, y = (at.top + at.bottom) / 2;
  if (x < box.left || x > box.right || y < box.top || y > box.bottom) ShowShare(pin.x, pin.y);
}

function WritePin(pin) {
  StopPlacing();
  PinField(pin).focus();
}

function AddPin() {
  stage_calls.PinsWanted();
  LeavePins();
  if (PinsShown().length >= kMaxPins) return Say(`No more than ${kMaxPins} comments fit on one picture.`);
  const middle = StageMiddle();
  const {x, y} = ShareAt(middle.x, middle.y);
  const pin = {id: NewId(), x: 0, y: 0, text: '', made: Now()};
  AnswerToChange(pins_file).pins.push(pin);
  DrawPins();
  MovePin(pin, x, y);
  StartPlacing(pin);
}

function StartPlacing(pin) {
  stage_calls.PinsWanted();
  placing = pin;
  stage.classList.add('placing');
  stage.scrollIntoView({block: 'nearest'});
  PinButton(pin).focus({preventScroll: true});
  Say('Choose the place you mean on the picture. Or move the pin by the arrow keys, and press Enter.', true);
}

function StopPlacing() {
  if (!placing) return;
  placing = null;
  stage.classList.remove('placing');
  Say('');
}

// Escape while placing: a new pin goes again.
function CancelPlacing() {
  if (!placing) return false;
  const is_new = placing.text.trim() === '';
  StopPlacing();
  LeavePins();
  DrawPins();
  stage.focus();
  Say(is_new ? 'No comment was added.' : 'The pin stays here.');
  return true;
}

// A tap on the picture. returns  whether it was for a pin.
function PutPin(client_x, client_y) {
  if (!placing) return false;
  const {x, y} = ShareAt(client_x, client_y);
  const pin = placing;
  MovePin(pin, x, y);
  WritePin(pin);
  return true;
}

function PinKey(event, pin) {
  const step = kPinStep * (event.shiftKey ? 5 : 1) * Math.min(stage.clientWidth, stage.clientHeight);
  const steps = {ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step]};
  if (event.key in steps) {
    const [right, down] = steps[event.key];
    MovePin(pin, pin.x + right / view.width, pin.y + down / frame.clientHeight);
    SeePin(pin);
    Say(`${Math.round(100 * pin.x)} % from the left, ${Math.round(100 * pin.y)} % from the top`);
  } else if (event.key === 'Delete') {
    DeletePin(pin);
  } else {
    return;
  }
  event.preventDefault();
  event.stopPropagation();
}

function DragPin(button, pin) {
  let from = null;
  button.addEventListener('pointerdown', event => {
    if (event.button !== 0) return;
    from = {x: event.clientX, y: event.clientY, pin_x: pin.x, pin_y: pin.y, moved: false};
    button.setPointerCapture(event.pointerId);
  });
  button.addEventListener('pointermove', event => {
    if (!from || event.buttons === 0) return;
    const right = event.clientX - from.x, down = event.clientY - from.y;
    from.moved ||= Math.hypot(right, down) > kTapPx;
    if (from.moved) MovePin(pin, from.pin_x + right / view.width, from.pin_y + down / frame.clientHeight);
  });
  button.addEventListener('pointercancel', () => from = null);
  // A finger's click comes after its focus, and so is what may move the focus on. Enter and space come here too.
  button.addEventListener('click', () => {
    if (!from?.moved || placing === pin) WritePin(pin);
    from = null;
  });
}

function DeletePin(pin) {
  StopPlacing();
  const {pins} = AnswerToChange(pins_file);
  deleted = {pin, at: pins.indexOf(pin)};
  pins.splice(deleted.at, 1);
  DrawPins();
  PinsChanged();
  Say('Comment deleted.');
  At('bring-back').focus();
}

function BringBack() {
  const {pin, at} = deleted;
  deleted = null;
  AnswerToChange(pins_file).pins.splice(at, 0, pin);
  DrawPins();
  PinsChanged();
  Say('The comment is back.');
  PinField(pin).focus();
}
