'use strict';
// page_answers.js - what the client says: held here, kept in the browser, written to a file and read from one.
//
// Form    "wheatpaste answers 1" (shared/answers.schema.json); the browser keeps the same text that the file has.
// Trust   a file that is loaded is hostile until read: sizes and types are checked here, and its texts reach the page
//         only as textContent and values of fields.

const kAnswersFormat = 'wheatpaste answers 1';
const kMaxAnswersBytes = 4 * 1024 * 1024;
const kMaxName = 200, kMaxText = 10000, kMaxPins = 1000;
const kKeptUnder = 'wheatpaste review ';

const data = JSON.parse(At('data').textContent);

// What can be answered: each item's picture and each view of it, by file.
const known_files = new Map();
data.items.forEach((item, index) => {
  known_files.set(item.file, {item: index, sha256: item.sha256});
  for (const view of item.views) known_files.set(view.file, {item: index, sha256: view.sha256});
});

let answers = NoAnswers();

function NoAnswers() {
  return {name: '', comment: '', by_file: new Map()};
}

function AnswerOf(file) {
  return answers.by_file.get(file) ?? {verdict: null, favourite: false, pins: []};
}

// The answer of a file, to be changed; Keep() is called afterwards.
function AnswerToChange(file) {
  if (!answers.by_file.has(file)) answers.by_file.set(file, AnswerOf(file));
  return answers.by_file.get(file);
}

const SaysSomething = answer => answer.verdict !== null || answer.favourite || answer.pins.length > 0;

// One favourite a scene.
function SetFavourite(item_index, favourite) {
  const {scene, file} = data.items[item_index];
  for (const item of data.items) {
    if (item.scene === scene && answers.by_file.has(item.file)) AnswerToChange(item.file).favourite = false;
  }
  AnswerToChange(file).favourite = favourite;
}

function PinsOfItem(item) {
  return [item, ...item.views].flatMap(shown => AnswerOf(shown.file).pins);
}

function Now() {
  return new Date().toISOString().replace(/\.\d+Z$/, 'Z');
}

function NewId() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), byte => byte.toString(16).padStart(2, '0')).join('');
}

// What fields give, without characters that no text needs and readers refuse.
function Clean(text) {
  // \p{Surrogate}: half of a character, which a limit has cut.
  return text.replaceAll('\t', ' ').replace(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f]|\p{Surrogate}/gu, '');
}

// A pin without words says nothing, and is left out.
function AnswersText() {
  const items = [];
  for (const [file, {sha256}] of known_files) {
    const {verdict, favourite, pins} = AnswerOf(file);
    const item = {file, sha256, verdict, favourite, pins: pins.filter(pin => pin.text.trim() !== '')};
    if (SaysSomething(item)) items.push(item);
  }
  return JSON.stringify({
    format: kAnswersFormat, review: data.review, title: data.title,
    name: answers.name, saved: Now(), comment: answers.comment, items,
  }, null, 1) + '\n';
}

// --- reading

const IsText = (value, longest) => typeof value === 'string' && value.length <= longest;
const IsShare = value => typeof value === 'number' && value >= 0 && value <= 1;
const IsPin = pin => pin !== null && typeof pin === 'object' && IsText(pin.id, 64) && /^[0-9a-z-]{8,64}$/.test(pin.id) &&
  IsShare(pin.x) && IsShare(pin.y) && IsText(pin.text, kMaxText) && IsText(pin.made, 40);
const IsItem = item => item !== null && typeof item === 'object' && IsText(item.file, 1000) && IsText(item.sha256, 64) &&
  [null, 'approved', 'change'].includes(item.verdict) && typeof item.favourite === 'boolean' &&
  Array.isArray(item.pins) && item.pins.length <= kMaxPins && item.pins.every(IsPin);

// returns  {error: in plain words} or {read: answers, review, taken, unknown, changed}, the last three counts of pictures.
function ReadAnswers(text) {
  if (text.length > kMaxAnswersBytes) return {error: 'This file is too large to hold answers: expected at most 4 MB.'};
  let root;
  try {
    root = JSON.parse(text);
  } catch {
    return {error: 'This is not a file of answers: its content cannot be read.'};
  }
  if (root === null || typeof root !== 'object' || root.format !== kAnswersFormat) {
    return {error: 'This is not a file of answers from a page like this one.'};
  }
  if (!IsText(root.review, 64) || !IsText(root.name, kMaxName) || !IsText(root.comment, kMaxText) ||
      !Array.isArray(root.items) || !root.items.every(IsItem)) {
    return {error: 'This file of answers is damaged, and nothing of it was taken.'};
  }
  const read = {name: root.name, comment: root.comment, by_file: new Map()};
  let unknown = 0, changed = 0;
  for (const item of root.items) {
    const here = known_files.get(item.file);
    if (!here) ++unknown;
    else if (here.sha256 !== item.sha256) ++changed;
    else {
      const pins = item.pins.map(({id, x, y, text, made}) => ({id, x, y, text, made}));
      read.by_file.set(item.file, {verdict: item.verdict, favourite: item.favourite, pins});
    }
  }
  return {read, review: root.review, taken: read.by_file.size, unknown, changed};
}

// What was read is added to what is here: it wins where both speak, and no pin is lost.
function Merge(read) {
  answers.name = read.name || answers.name;
  answers.comment = read.comment || answers.comment;
  for (const [file, theirs] of read.by_file) {
    const ours = AnswerToChange(file);
    ours.verdict = theirs.verdict ?? ours.verdict;
    const {item} = known_files.get(file);
    if (theirs.favourite && data.items[item].file === file) SetFavourite(item, true);
    for (const pin of theirs.pins) {
      const same = ours.pins.find(({id}) => id === pin.id);
      if (same) Object.assign(same, pin);
      else ours.pins.push(pin);
    }
  }
}

// --- keeping

// False where the browser refuses to keep anything; `unsaved`: something would then be lost with the page.
let is_kept = true;
let unsaved = false;

function Keep() {
  unsaved = true;
  try {
    localStorage.setItem(kKeptUnder + data.review, AnswersText());
  } catch {
    is_kept = false;
  }
}

// What the browser kept for this very page; answers to an earlier edition (same title) are returned, not taken.
// returns  {name, text} of the earlier edition, or null.
function Recall() {
  try {
    const kept = localStorage.getItem(kKeptUnder + data.review);
    if (kept !== null) {
      const {read} = ReadAnswers(kept);
      if (read) answers = read;
      return null;
    }
    localStorage.setItem(kKeptUnder + 'try', '');
    localStorage.removeItem(kKeptUnder + 'try');
    let latest = null;
    for (let i = 0; i < localStorage.length; ++i) {
      const key = localStorage.key(i);
      if (!key.startsWith(kKeptUnder)) continue;
      const text = localStorage.getItem(key);
      const {read} = ReadAnswers(text);
      if (!read) continue;
      const {title, saved} = JSON.parse(text);
      if (title === data.title && (latest === null || saved > latest.saved)) latest = {saved, text};
    }
    return latest;
  } catch {
    is_kept = false;
    return null;
  }
}
