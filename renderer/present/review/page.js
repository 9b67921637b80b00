'use strict';
// page.js - the grid's marks, the dialogs, and the start of everything.

// --- the grid: what was said of each picture

const kVerdictWords = {approved: 'Approved', change: 'Change asked for'};

function DrawMarks(item_index) {
  const item = data.items[item_index];
  const preview = At(`item-${item_index}`);
  const {verdict, favourite} = AnswerOf(item.file);
  const pins = PinsOfItem(item);
  preview.querySelector('.marks')?.remove();
  preview.querySelector('.said')?.remove();
  for (const dot of preview.querySelectorAll('.dot')) dot.remove();
  const marks = [favourite && 'Favourite', verdict && kVerdictWords[verdict], pins.length > 0 && Count(pins.length, 'comment')]
    .filter(Boolean);
  if (marks.length === 0) return;
  preview.append(Make('ul', {className: 'marks', 'aria-label': 'Your answer'}, ...Lines(marks)));
  if (pins.length === 0) return;
  // Only paper shows the words, and the pins on the small picture.
  preview.append(Make('ul', {className: 'said'}, ...Lines([item, ...item.views].flatMap(({file, label}) =>
    AnswerOf(file).pins.map((pin, index) => `${index + 1}${label ? ` (${label})` : ''}: ${pin.text}`)))));
  AnswerOf(item.file).pins.forEach((pin, index) => {
    const dot = Make('span', {className: 'dot', textContent: index + 1, 'aria-hidden': 'true'});
    dot.style.left = `${100 * pin.x}%`;
    dot.style.top = `${100 * pin.y}%`;
    preview.querySelector('.open').append(dot);
  });
}

function TallyWords() {
  const of_items = data.items.map(item => ({...AnswerOf(item.file), pins: PinsOfItem(item)}));
  const answered = of_items.filter(SaysSomething).length;
  if (answered === 0) return `${Count(data.items.length, 'picture')}, none answered yet.`;
  const verdicts = wanted => of_items.filter(({verdict}) => verdict === wanted).length;
  const favourites = of_items.filter(({favourite}) => favourite).length;
  const comments = of_items.reduce((sum, {pins}) => sum + pins.length, 0);
  const parts = [
    verdicts('approved') && `${verdicts('approved')} approved`,
    verdicts('change') && Count(verdicts('change'), 'change asked for', 'changes asked for'),
    favourites && Count(favourites, 'favourite'),
    comments && Count(comments, 'comment'),
  ].filter(Boolean);
  return `${answered} of ${Count(data.items.length, 'picture')} answered${parts.length > 0 ? `: ${parts.join(', ')}` : ''}.`;
}

let told_of_loss = false;
function DrawTally() {
  At('tally').textContent = At('send-tally').textContent = TallyWords();
  At('signed').replaceChildren(...[answers.name && `Answers of ${answers.name}.`, answers.comment]
    .filter(Boolean).map(text => Make('p', {textContent: text})));
  if (!is_kept && !told_of_loss) {
    told_of_loss = true;
    Notice('This browser does not keep your answers. Save them as a file before you close this page, or they are lost.');
  }
}

function DrawAll() {
  data.items.forEach((item, index) => DrawMarks(index));
  At('name').value = answers.name;
  At('whole-comment').value = answers.comment;
  DrawTally();
}

stage_calls.Changed = () => {
  const {scene} = Item();
  data.items.forEach((item, index) => { if (item.scene === scene) DrawMarks(index); });
  DrawTally();
};

// A word to the reader that stays; with a question, `Yes` is done on consent.
function Notice(text, Yes = null) {
  At('notice').hidden = false;
  At('notice-text').textContent = text;
  At('notice-yes').hidden = !Yes;
  At('notice-no').textContent = Yes ? 'Leave them' : 'I understand';
  At('notice-yes').onclick = () => {
    At('notice').hidden = true;
    Yes();
  };
}
OnClick('notice-no', () => At('notice').hidden = true);

// --- answers leave and come back

function SendSay(text) {
  At('send-say').textContent = text;
}

function FileName() {
  const letters = answers.name.normalize('NFKD').replace(/\p{Mark}/gu, '').toLowerCase();
  const plain = letters.replace(/[^a-z0-9]+/g, '-').replace(/^-+|-+$/g, '');
  return `answers-${plain.slice(0, 60) || 'unnamed'}.json`;  // a name in other letters than a to z leaves none
}

// Answers without a name would be nobody's.
function IsSigned() {
  if (answers.name.trim()) return true;
  At('name').setAttribute('aria-invalid', 'true');
  At('name').focus();
  SendSay('Please write your name first, so that it is known whose answers these are.');
  return false;
}

function SaveFile() {
  if (!IsSigned()) return;
  const url = URL.createObjectURL(new Blob([AnswersText()], {type: 'application/json'}));
  const link = Make('a', {href: url, download: FileName()});
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
  unsaved = false;
  SendSay(`Saved as ${FileName()}, where this browser puts its downloads. Attach that file to a mail.`);
}

async function CopyText() {
  if (!IsSigned()) return;
  const text = AnswersText();
  At('copy-by-hand').hidden = true;
  try {
    await navigator.clipboard.writeText(text);
    SendSay('Copied. Paste it into a mail.');
  } catch {
    // Not every browser lets a page that lies in a file use the clipboard.
    At('copy-by-hand').hidden = false;
    At('copy-field').value = text;
    At('copy-field').focus();
    At('copy-field').select();
    SendSay('The text is selected below: copy it with Ctrl and C (on a phone: hold it and choose copy), then paste it into a mail.');
  }
  unsaved = false;
}

async function LoadFile(file) {
  At('load-fitting').hidden = true;
  if (file.size > kMaxAnswersBytes) return SendSay('This file is too large to hold answers: expected at most 4 MB.');
  const {error, read, review, taken, unknown, changed} = ReadAnswers(await file.text());
  if (error) return SendSay(error);
  const left = [unknown && `${Count(unknown, 'picture')} of the file ${unknown === 1 ? 'is' : 'are'} not on this page`,
    changed && `${Count(changed, 'picture')} ${changed === 1 ? 'has' : 'have'} changed since`].filter(Boolean).join(', and ');
  const Take = () => {
    Merge(read);
    Keep();
    DrawAll();
    At('load-fitting').hidden = true;
    const whose = read.name ? `the answers of ${read.name}` : 'answers';
    SendSay(`Loaded ${whose}: ${Count(taken, 'picture')}.${left ? ` Left out: ${left}.` : ''}`);
  };
  if (review === data.review) return Take();
  SendSay(`This file answers another page, perhaps an earlier edition of this one. ${taken} of its pictures are here unchanged.`);
  At('load-fitting').hidden = taken === 0;
  At('load-fitting').onclick = Take;
}

OnClick('save-file', SaveFile);
OnClick('copy-text', CopyText);
At('load-file').addEventListener('change', async event => {
  const [file] = event.target.files;
  if (file) await LoadFile(file);
  event.target.value = '';
});
for (const [id, key] of [['name', 'name'], ['whole-comment', 'comment']]) {
  At(id).addEventListener('input', event => {
    answers[key] = Clean(event.target.value);
    event.target.removeAttribute('aria-invalid');
    Keep();
    DrawTally();
  });
}

// --- dialogs

function Opens(button, dialog, Before = () => {}) {
  OnClick(button, () => {
    Before();
    At(dialog).showModal();
  });
}
Opens('open-send', 'send', () => {
  SendSay('');
  At('copy-by-hand').hidden = true;
  At('load-fitting').hidden = true;
});
Opens('open-help', 'help');
Opens('viewer-help', 'help');
OnClick('send-close', () => At('send').close());
OnClick('help-close', () => At('help').close());

// --- keys that are single letters can be switched off, as some people speak or shake into their keyboards

const kKeysKept = 'wheatpaste single keys';
function UseLetterKeys(used) {
  letter_keys = At('letter-keys').checked = used;
}
At('letter-keys').addEventListener('change', event => {
  UseLetterKeys(event.target.checked);
  try {
    localStorage.setItem(kKeysKept, event.target.checked ? 'on' : 'off');
  } catch {
    // It holds until the page is closed.
  }
});

// --- start

const kViewInAddress = /^#view-(\d+)$/;
function FollowAddress() {
  const index = Number(kViewInAddress.exec(location.hash)?.[1] ?? -1);
  if (index in data.items) OpenViewer(index);
  else if (viewer.open) CloseViewer();
}

const earlier = Recall();
try {
  UseLetterKeys(localStorage.getItem(kKeysKept) !== 'off');
} catch {
  UseLetterKeys(true);
}
At('bar').hidden = false;
At('made-with').textContent = `Made with ${data.program}.`;
DrawAll();
if (earlier) {
  const {read, taken} = ReadAnswers(earlier.text);
  Notice(`You answered an earlier edition of this page. ${Count(taken, 'of its pictures is', 'of its pictures are')} here unchanged.`,
    taken > 0 ? () => { Merge(read); Keep(); DrawAll(); } : null);
}
window.addEventListener('hashchange', FollowAddress);
window.addEventListener('beforeunload', event => {
  if (unsaved && !is_kept) event.preventDefault();
});
// Another tab with the same page has written.
window.addEventListener('storage', event => {
  if (event.key !== kKeptUnder + data.review || viewer.open) return;
  Recall();
  DrawAll();
});
FollowAddress();
