// review_test.mjs - the review page in a real browser: what a client does with it, and what must not happen.
//
// Run     WHEATPASTE=build/wheatpaste node --test tests/browser/     (or `./build.sh browser`)
// Outside axe-core (accessibility), html-validate (markup), python3-jsonschema with shared/answers.schema.json, pdftotext.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {after, before, test} from 'node:test';
import {fileURLToPath, pathToFileURL} from 'node:url';
import {HtmlValidate} from 'html-validate';
import {kDesktop, kHostile, kMarkMm, kPhone, MakeLinkedPage, MakeNewEdition, MakePage, OpenPage, ReadInFolder, RemoveFromFolder, RunProgram,
  StartBrowser, WriteInFolder} from './fixture.mjs';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const kSchema = fileURLToPath(new URL('../../shared/answers.schema.json', import.meta.url));
const kCheckSchema = `import json, jsonschema, sys
jsonschema.Draft202012Validator(json.load(open(sys.argv[2]))).validate(json.load(open(sys.argv[1])))`;
const kCardMm = 85.60;  // ISO/IEC 7810, ID-1

let browser, url;
before(async () => {
  url = MakePage();
  browser = await StartBrowser();
});
after(() => browser?.close());

// Runs `body` on a page of its own, which must behave throughout.
function PageTest(name, options, body) {
  test(name, async () => {
    const opened = await OpenPage(browser, url, options);
    try {
      await body(opened.page, opened.context);
      // Whatever hostile texts went through, the page's own script is the only one.
      assert.equal(await opened.page.evaluate(() => [...document.scripts].filter(({type}) => type === '').length), 1);
      assert.deepEqual(opened.troubles, []);
    } finally {
      await opened.context.close();
    }
  });
}

const Box = (page, selector) => page.locator(selector).boundingBox();
const Near = (actual, expected, limit, what) =>
  assert.ok(Math.abs(actual - expected) <= limit, `${what}: ${actual}, expected ${expected} within ${limit}`);
const Text = (page, selector) => page.locator(selector).innerText();
const Focused = page => page.evaluate(() => document.activeElement.id || document.activeElement.closest('[id]')?.id);

async function OpenItem(page, index) {
  await page.click(`#item-${index} a`);
  await page.waitForFunction(() => document.querySelector('.main-picture')?.src.startsWith('blob:'));
}

// The share of the frame's width and height that lies at a point of the window.
async function ShareAt(page, x, y) {
  const box = await Box(page, '#frame');
  return [(x - box.x) / box.width, (y - box.y) / box.height];
}

// The mark is the only coloured thing: how many px of the screen it takes of a line through the stage's middle.
async function ColouredPx(page) {
  const png = await page.locator('#stage').screenshot();
  return page.evaluate(async base64 => {
    const image = new Image();
    image.src = `data:image/png;base64,${base64}`;
    await image.decode();
    const canvas = document.createElement('canvas');
    Object.assign(canvas, {width: image.width, height: image.height});
    const context = canvas.getContext('2d');
    context.drawImage(image, 0, 0);
    const row = context.getImageData(0, Math.round(image.height / 2), image.width, 1).data;
    let count = 0;
    for (let i = 0; i < row.length; i += 4) count += row[i] - row[i + 1] > 60;
    return count;
  }, png.toString('base64'));
}

async function NoSeriousViolation(page, state) {
  await page.evaluate(axe);
  // Colours that are on their way are no state.
  await page.evaluate(() => Promise.all(document.getAnimations().map(({finished}) => finished)));
  const {violations} = await page.evaluate(() => axe.run(document, {resultTypes: ['violations']}));
  const serious = violations.filter(({impact}) => ['serious', 'critical'].includes(impact));
  assert.deepEqual(serious.map(({id, nodes}) => `${state}: ${id}: ${nodes.map(({target, failureSummary}) => `${target}: ${failureSummary}`)}`), []);
}

PageTest('grid: every picture is there, titles stay text, nothing is asked of a network', kDesktop, async page => {
  assert.equal(await page.locator('.preview img').count(), 8);
  assert.equal(await Text(page, 'h1'), `Round one ${kHostile}`);
  assert.equal(await Text(page, '#scene-0'), `Wall ${kHostile}`);
  assert.match(await Text(page, '.caution'), /not proofs.*colours on this screen are not measured/is);
  assert.equal(await Text(page, '#tally'), '8 pictures, none answered yet.');
});

PageTest('keyboard: opened, enlarged, moved, flicked at the same zoom and place, closed where it was', kDesktop, async page => {
  for (let i = 0; i < 4 && await Focused(page) !== 'item-0'; ++i) await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement.id === 'stage');
  const whole = await Box(page, '#frame');
  for (const key of ['+', '+', '+', 'ArrowRight', 'ArrowDown']) await page.keyboard.press(key);
  const enlarged = await Box(page, '#frame');
  Near(enlarged.width / whole.width, 1.25 ** 3, 0.01, 'three steps of zoom');
  assert.ok(enlarged.x + enlarged.width / 2 < whole.x + whole.width / 2 - 20, 'right arrow shows what lies right');
  await page.keyboard.press('3');
  assert.match(await Text(page, '#viewer-name'), /round/);
  assert.deepEqual(await Box(page, '#frame'), enlarged);
  await page.keyboard.press('n');
  assert.deepEqual(await Box(page, '#frame'), enlarged);
  await page.keyboard.press('PageDown');
  assert.equal(await Text(page, '#viewer-place'), `Door ${kHostile} (8 of 8)`);
  assert.match(await Text(page, '#viewer-name'), /round, night/);
  await page.keyboard.press('0');
  for (let i = 0; i < 30; ++i) {
    await page.keyboard.press('Tab');
    assert.ok(await page.evaluate(() => [document.body, null].includes(document.activeElement) || document.activeElement.closest('#viewer')), 'focus stays in the dialog');
  }
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('#viewer').getAttribute('open'), null);
  assert.equal(await Focused(page), 'item-7');
});

PageTest('help: opened over the picture, closed by Escape with the focus where it was; single keys can be switched off', kDesktop, async page => {
  await OpenItem(page, 0);
  await page.click('#viewer-help');
  await page.uncheck('#letter-keys');
  await page.keyboard.press('Escape');
  assert.equal(await Focused(page), 'viewer-help');
  await page.keyboard.press('n');
  assert.match(await Text(page, '#viewer-place'), /1 of 8/);
  await page.click('#viewer-help');
  await page.check('#letter-keys');
  await page.keyboard.press('Escape');
  await page.keyboard.press('n');
  assert.match(await Text(page, '#viewer-place'), /2 of 8/);
});

PageTest('wheel and double click: the point under the pointer stays under it; dragging moves the picture', kDesktop, async page => {
  await OpenItem(page, 0);
  const stage = await Box(page, '#stage');
  const x = stage.x + stage.width * 0.45, y = stage.y + stage.height * 0.6;
  await page.mouse.move(x, y);
  const share = await ShareAt(page, x, y);
  await page.mouse.wheel(0, -600);
  await page.waitForFunction(() => document.getElementById('stage').classList.contains('enlarged'));
  const wheeled = await ShareAt(page, x, y);
  // Half a px of the screen is what the frame is rounded to.
  for (const axis of [0, 1]) Near(wheeled[axis], share[axis], 0.002, `share ${axis} under the pointer`);
  const old = await Box(page, '#frame');
  await page.mouse.down();
  await page.mouse.move(x + 40, y - 30, {steps: 4});
  await page.mouse.up();
  const dragged = await Box(page, '#frame');
  Near(dragged.x - old.x, 40, 1, 'dragged right');
  Near(dragged.y - old.y, -30, 1, 'dragged up');
  await page.mouse.dblclick(x, y);
  assert.equal(await page.locator('#stage.enlarged').count(), 0);
  await page.mouse.dblclick(x, y);
  Near((await ShareAt(page, x, y))[0], share[0], 0.002, 'share under the double click');
});

PageTest('phone: pinch enlarges about the fingers, a swipe goes on, a tap puts the pin', kPhone, async (page, context) => {
  await page.tap('#item-0 a');
  await page.waitForFunction(() => document.querySelector('.main-picture')?.src.startsWith('blob:'));
  const cdp = await context.newCDPSession(page);
  const Touch = (type, ...points) => cdp.send('Input.dispatchTouchEvent', {type, touchPoints: points.map(([x, y], id) => ({x, y, id}))});
  const stage = await Box(page, '#stage');
  const x = stage.x + stage.width / 2, y = stage.y + stage.height / 2;

  await Touch('touchStart', [x + 80, y]);
  for (const moved of [40, 0, -40, -80]) await Touch('touchMove', [x + moved, y]);
  await Touch('touchEnd');
  assert.match(await Text(page, '#viewer-place'), /2 of 8/);

  const whole = await Box(page, '#frame');
  const share = await ShareAt(page, x, y);
  await Touch('touchStart', [x - 30, y], [x + 30, y]);
  for (const apart of [40, 50, 60]) await Touch('touchMove', [x - apart, y], [x + apart, y]);
  await Touch('touchEnd');
  Near((await Box(page, '#frame')).width / whole.width, 2, 0.02, 'fingers twice as far apart');
  Near((await ShareAt(page, x, y))[0], share[0], 0.005, 'share between the fingers');

  await page.tap('#add-pin');
  const [pin_x, pin_y] = await ShareAt(page, x + 60, y + 40);
  await page.touchscreen.tap(x + 60, y + 40);
  assert.match(await Focused(page), /^comment-/);
  await page.keyboard.type('By touch');
  const pin = await page.evaluate(() => AnswerOf(Item().file).pins[0]);
  Near(pin.x, pin_x, 0.004, 'x of the pin');
  Near(pin.y, pin_y, 0.004, 'y of the pin');
  assert.equal(pin.text, 'By touch');
});

PageTest('compare: the divider follows mouse and keys, and uncovers that much of the other picture', kDesktop, async page => {
  await OpenItem(page, 0);
  await page.selectOption('#compare', {label: 'round, night'});
  await page.waitForSelector('.compared-picture');
  const frame = await Box(page, '#frame');
  const Uncovered = () => page.evaluate(() => {
    const other = document.querySelector('.compared-picture');
    return 1 - parseFloat(other.style.clipPath.split(' ')[1]) / other.offsetWidth;
  });
  Near(await Uncovered(), 0.5, 0.002, 'at first');
  const divider = await Box(page, '#divider');
  await page.mouse.move(divider.x + divider.width / 2, divider.y + 100);
  await page.mouse.down();
  await page.mouse.move(frame.x + frame.width * 0.2, divider.y + 100, {steps: 3});
  await page.mouse.up();
  Near(await Uncovered(), 0.2, 0.005, 'by mouse');
  await page.focus('#divider');
  for (const key of ['End', 'ArrowLeft', 'ArrowLeft']) await page.keyboard.press(key);
  Near(await Uncovered(), 0.96, 0.005, 'by keys');
  assert.equal(await page.getAttribute('#divider', 'aria-valuenow'), '96');
  assert.match(await page.getAttribute('#divider', 'aria-valuetext'), /96 % round, night, 4 % plain/);
  // The divider is where the eye finds it, at any zoom.
  await page.keyboard.press('+');
  const at = await Box(page, '#divider');
  const seen = await page.evaluate(() => document.querySelector('.compared-picture').getBoundingClientRect().right -
    parseFloat(document.querySelector('.compared-picture').style.clipPath.split(' ')[1]));
  Near(at.x + at.width / 2, seen, 1, 'divider at the edge of what is uncovered');
  await page.click('#add-pin');
  assert.equal(await page.locator('#divider').isVisible(), false);
});

PageTest('compare with the blank photo: offered where there is one, switched on and off by its key', kDesktop, async page => {
  await page.evaluate(() => { data.scenes[1].blank = null; });
  await OpenItem(page, 4);
  assert.equal(await page.locator('#compare option[value=blank]').count(), 0);
  await page.keyboard.press('d');
  assert.equal(await page.locator('#divider').isVisible(), false);
  await page.keyboard.press('PageUp');
  await page.keyboard.press('d');
  await page.waitForSelector('.compared-picture');
  assert.equal(await Text(page, '#left-name'), 'blank photo');
  await page.focus('#divider');
  await page.keyboard.press('End');
  assert.equal(await ColouredPx(page), 0);
  await page.keyboard.press('Home');
  assert.ok(await ColouredPx(page) > 100, 'the mark is seen where the blank photo is not');
  await page.keyboard.press('2');
  assert.equal(await Text(page, '#right-name'), 'plain, night');
  assert.equal(await page.locator('#divider').isVisible(), true);
  await page.keyboard.press('d');
  assert.equal(await page.locator('#divider').isVisible(), false);
  assert.equal(await page.locator('.compared-picture').count(), 0);
});

for (const [name, options] of [['desktop', kDesktop], ['phone, two px of the screen to a CSS px', kPhone]]) {
  PageTest(`views (${name}): from a distance each px of the file is one of the screen, and words say so`, options, async page => {
    await OpenItem(page, 0);
    await page.selectOption('#seen', '0');
    await page.waitForFunction(() => document.querySelector('.main-picture').alt.includes('from 4 m'));
    await page.waitForFunction(() => document.querySelector('.main-picture').complete);
    const {natural, css, ratio} = await page.evaluate(() => {
      const image = document.querySelector('.main-picture');
      return {natural: image.naturalWidth, css: image.getBoundingClientRect().width, ratio: devicePixelRatio};
    });
    Near(css * ratio, natural, 1e-3, 'px of the screen for the picture');
    assert.match(await Text(page, '#seen-note'), /seen from 4 m.*one minute of arc/is);
    await page.keyboard.press('2');
    assert.match(await page.getAttribute('#stage', 'aria-label'), /plain, night/);
    assert.match(await Text(page, '#seen-note'), /seen from 4 m/);
    await page.selectOption('#seen', '1');
    assert.match(await Text(page, '#seen-note'), /deutan/);
    assert.equal(await page.locator('#stage.enlarged').count(), 0);
    await page.selectOption('#compare', 'self');
    await page.waitForSelector('.compared-picture');
    const OnTheLeft = () => page.evaluate(async () => (await Picture(Item().picture)).classList.contains('compared-picture'));
    assert.equal(await OnTheLeft(), true);
    await page.focus('#stage');
    await page.keyboard.press('1');
    await page.waitForFunction(() => document.querySelector('.main-picture').alt.startsWith('plain on'));
    assert.match(await Text(page, '#seen-note'), /deutan/);
    assert.equal(await OnTheLeft(), true);
  });
}

PageTest('actual size: after matching a card, the printed mm of the mark are true on the screen', kDesktop, async page => {
  await OpenItem(page, 0);
  await page.selectOption('#size', '0');
  const corner = await Box(page, '#card-corner');
  const card = await Box(page, '#card-outline');
  Near(card.width / card.height, 85.60 / 53.98, 0.02, 'sides of the outline');
  await page.mouse.move(corner.x + 20, corner.y + 20);
  await page.mouse.down();
  await page.mouse.move(card.x + 200, card.y + 100, {steps: 3});
  await page.mouse.up();
  await page.keyboard.press('ArrowRight');  // the corner is the pointer's; keys are the slider's
  await page.focus('#card-size');
  await page.keyboard.press('ArrowRight');
  const css_px = (await Box(page, '#card-outline')).width;
  Near(css_px, 200.5, 1, 'outline by pointer and key');
  await page.click('#card-done');
  await page.waitForFunction(() => document.getElementById('say').textContent.startsWith('Actual size'));
  // One px on either edge of the mark, which JPEG and enlarging soften.
  Near(await ColouredPx(page), kMarkMm * css_px / kCardMm, 2, 'width of the mark in px of the screen');
  await page.reload();
  await page.waitForSelector('.main-picture');
  await page.keyboard.press('a');
  Near(await ColouredPx(page), kMarkMm * css_px / kCardMm, 2, 'after reloading, by its key');
  await page.selectOption('#seen', '0');
  assert.match(await Text(page, '#seen-note'), new RegExp(`${Math.round(kCardMm / css_px / Math.tan(Math.PI / 10800) / 10)} cm`));
});

// Pins by keys and by mouse, answers, a name: the answers that later tests send about.
async function AnswerAll(page) {
  await OpenItem(page, 1);
  await page.keyboard.press('c');
  assert.match(await Focused(page), /^pin-/);
  for (const key of ['ArrowRight', 'Shift+ArrowDown', 'Enter']) await page.keyboard.press(key);
  await page.keyboard.type(`By keys ${kHostile}`);
  await page.click('#add-pin');
  const frame = await Box(page, '#frame');
  await page.mouse.click(frame.x + frame.width * 0.25, frame.y + frame.height * 0.75);
  await page.keyboard.type('By mouse');
  await page.click('#approve');
  await page.click('#favourite');
  await page.click('#next');
  await page.click('#change');
  await page.click('#favourite');
  await page.selectOption('#seen', '0');
  await page.click('#add-pin');
  await page.keyboard.press('Enter');
  await page.keyboard.type('Too small from there');
  await page.click('#viewer-close');
  await page.click('#open-send');
  await page.fill('#name', `Änne ${kHostile}`);
  await page.fill('#whole-comment', 'All in all:\n"fine" <b>');
}

const AnswersIn = page => page.evaluate(() => JSON.parse(AnswersText()));
const Unsaved = ({saved, ...rest}) => rest;

PageTest('answers: pins by keys and mouse, verdicts, one favourite a scene; a reload keeps them; a file takes them to another browser', kDesktop, async page => {
  await AnswerAll(page);
  const {items} = await AnswersIn(page);
  assert.deepEqual(items.map(({file, verdict, favourite, pins}) => [file.replace(/\.jpg$/, ''), verdict, favourite, pins.length]), [
    ['wall/plain-night-page', 'approved', false, 2], ['wall/round-page', 'change', true, 0], ['wall/round-far', null, false, 1]]);
  const [by_keys, by_mouse] = items[0].pins;
  assert.equal(by_keys.text, `By keys ${kHostile}`);
  assert.ok(by_keys.x > 0.5 && by_keys.x < 0.52 && by_keys.y > 0.53 && by_keys.y < 0.58, `moved by keys: ${by_keys.x}, ${by_keys.y}`);
  Near(by_mouse.x, 0.25, 0.002, 'x by mouse');
  Near(by_mouse.y, 0.75, 0.002, 'y by mouse');

  await page.reload();
  const kept = await AnswersIn(page);
  assert.deepEqual(kept.items, items);
  assert.match(await Text(page, '#item-1 .marks'), /Approved\s*2 comments/);
  assert.match(await Text(page, '#item-2 .marks'), /Favourite\s*Change asked for\s*1 comment/);

  await page.click('#open-send');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#save-file')]);
  assert.equal(download.suggestedFilename(), 'answers-anne-script-alert-1-script.json');
  const text = readFileSync(await download.path(), 'utf8');
  assert.deepEqual(Unsaved(JSON.parse(text)), Unsaved(kept));
  const file = WriteInFolder('answers.json', text);
  execFileSync('python3', ['-c', kCheckSchema, file, kSchema], {stdio: 'pipe'});
  const taken_in = RunProgram('answers', 'run-out', file, '--json');
  for (const words of [by_mouse.text, 'Too small from there']) assert.ok(taken_in.includes(words), taken_in);

  const other = await OpenPage(browser, url);
  await other.page.click('#open-send');
  await other.page.setInputFiles('#load-file', file);
  await other.page.waitForFunction(() => document.getElementById('send-say').textContent.startsWith('Loaded'));
  assert.equal(await Text(other.page, '#send-say'), `Loaded the answers of Änne ${kHostile}: 3 pictures.`);
  assert.deepEqual(Unsaved(await AnswersIn(other.page)), Unsaved(kept));
  assert.deepEqual(other.troubles, []);
  await other.context.close();
});

PageTest('pins: edited, moved, deleted, brought back; one without words does not stay', kDesktop, async page => {
  await AnswerAll(page);
  await page.click('#send-close');
  await OpenItem(page, 1);
  const Pins = () => page.evaluate(() => AnswerOf(Item().file).pins);
  const [first] = await Pins();
  await page.fill(`#comment-${first.id}`, 'Other words');
  const frame = await Box(page, '#frame');
  const pin = await Box(page, `#pin-${first.id}`);
  await page.mouse.move(pin.x + 22, pin.y + 22);
  await page.mouse.down();
  await page.mouse.move(frame.x + frame.width * 0.1, frame.y + frame.height * 0.2, {steps: 4});
  await page.mouse.up();
  let [moved] = await Pins();
  Near(moved.x, 0.1, 0.003, 'x dragged');
  Near(moved.y, 0.2, 0.003, 'y dragged');
  await page.click('[aria-label="Move its pin, comment 1"]');
  await page.mouse.click(frame.x + frame.width * 0.6, frame.y + frame.height * 0.4);
  [moved] = await Pins();
  Near(moved.x, 0.6, 0.002, 'x put elsewhere');
  assert.equal(moved.text, 'Other words');
  await page.click('[aria-label="Delete comment 1"]');
  assert.deepEqual((await Pins()).map(({text}) => text), ['By mouse']);
  assert.equal(await Focused(page), 'bring-back');
  await page.keyboard.press('Enter');
  assert.deepEqual((await Pins())[0], moved);
  await page.keyboard.press('Escape');
  await OpenItem(page, 1);
  await page.keyboard.press('c');
  assert.equal((await Pins()).length, 3);
  await page.keyboard.press('Escape');
  assert.equal((await Pins()).length, 2);
  assert.equal(await page.locator('#viewer').getAttribute('open'), '');
});

PageTest('copy as text: what is copied is what the file holds; without a clipboard the text is there, selected', {...kDesktop, permissions: ['clipboard-read', 'clipboard-write']}, async page => {
  await page.click('#open-send');
  await page.click('#copy-text');
  assert.match(await Text(page, '#send-say'), /write your name/);
  assert.equal(await Focused(page), 'name');
  await page.fill('#name', 'Anna');
  await page.click('#copy-text');
  await page.waitForFunction(() => document.getElementById('send-say').textContent.startsWith('Copied'));
  const copied = await page.evaluate(() => navigator.clipboard.readText());
  assert.equal(JSON.parse(copied).name, 'Anna');
  await page.evaluate(() => { navigator.clipboard.writeText = () => Promise.reject(new Error('refused')); });
  await page.click('#copy-text');
  await page.waitForSelector('#copy-field', {state: 'visible'});
  const selected = await page.evaluate(() => document.activeElement.value.slice(document.activeElement.selectionStart, document.activeElement.selectionEnd));
  assert.equal(JSON.parse(selected).format, 'wheatpaste answers 1');
});

PageTest('loading: what is no file of answers is told in words and changes nothing', kDesktop, async page => {
  await page.click('#open-send');
  const good = {format: 'wheatpaste answers 1', review: '0'.repeat(64), title: 't', name: 'n', saved: '2026-03-01T09:30:00Z', comment: '', items: []};
  const item = {file: 'wall/plain-page.jpg', sha256: '0'.repeat(64), verdict: null, favourite: false, pins: []};
  const pin = {id: '0123456789', x: 0.5, y: 0.5, text: 'x', made: '2026-03-01T09:30:00Z'};
  for (const [what, text, words] of [
    ['no JSON', '<html>', /cannot be read/],
    ['other JSON', '{"format":"other"}', /not a file of answers from a page like this/],
    ['null', 'null', /not a file of answers/],
    ['too large', ' '.repeat(4 * 1024 * 1024 + 1), /too large/],
    ['a name that is no text', JSON.stringify({...good, name: {}}), /damaged/],
    ['a verdict of its own', JSON.stringify({...good, items: [{...item, verdict: 'maybe'}]}), /damaged/],
    ['a pin beside the picture', JSON.stringify({...good, items: [{...item, pins: [{...pin, x: 1.5}]}]}), /damaged/],
    ['a pin whose id is markup', JSON.stringify({...good, items: [{...item, pins: [{...pin, id: '"><b>abcdefg'}]}]}), /damaged/],
    ['another page', JSON.stringify({...good, items: [item]}), /answers another page.*\b0 of its pictures/],
  ]) {
    await page.evaluate(() => SendSay(''));
    await page.setInputFiles('#load-file', {name: 'a.json', mimeType: 'application/json', buffer: Buffer.from(text)});
    await page.waitForFunction(() => document.getElementById('send-say').textContent !== '');
    assert.match(await Text(page, '#send-say'), words, what);
    assert.equal(await page.evaluate(() => answers.by_file.size), 0, what);
  }
  assert.equal(await page.locator('#load-fitting').isVisible(), false);
});

test('storage refused: the page says that answers are lost with it, and works', async () => {
  const {page, context, troubles} = await OpenPage(browser, url, kDesktop, () => {
    Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('refused', 'SecurityError'); }});
  });
  assert.match(await Text(page, '#notice-text'), /does not keep your answers.*lost/);
  await OpenItem(page, 0);
  await page.click('#approve');
  assert.equal((await AnswersIn(page)).items[0].verdict, 'approved');
  assert.deepEqual(troubles, []);
  await context.close();
});

test('linked: pictures come from the folder beside the page; without it words say so and the small one stands in', async () => {
  const linked = MakeLinkedPage();
  const {page, context, troubles} = await OpenPage(browser, linked);
  await page.click('#item-0 a');
  await page.waitForFunction(() => document.querySelector('.main-picture').naturalWidth === 800);
  assert.match(await page.getAttribute('.main-picture', 'src'), /^linked-pictures\//);
  assert.deepEqual(troubles, []);
  RemoveFromFolder('linked-pictures');
  await page.reload();
  await page.waitForFunction(() => document.getElementById('say').textContent.includes('must lie beside this page'));
  assert.match(await page.getAttribute('.main-picture', 'src'), /^data:image\/jpeg/);
  await context.close();
});

test('policy: a script or a handler that slips into the page does not run', async () => {
  const slipped = ReadInFolder('review.html').replace('<main', '<script>window.slipped = 1</script><img alt="" src="data:," onerror="window.slipped = 2"><main');
  const {page, context, troubles} = await OpenPage(browser, pathToFileURL(WriteInFolder('slipped.html', slipped)).href);
  assert.equal(await page.evaluate(() => window.slipped), undefined);
  assert.equal(troubles.filter(words => /Content Security Policy/.test(words)).length, 2, troubles.join('\n'));
  assert.equal(await page.locator('#bar').isVisible(), true, 'our own script runs');
  await context.close();
});

PageTest('small: 320 px wide and text at 200 %, nothing is cut off sideways; what is pressed has 44 px', {viewport: {width: 320, height: 640}, hasTouch: true}, async page => {
  const Overflow = () => page.evaluate(() => [document.documentElement, ...document.querySelectorAll('dialog[open]')].map(e => e.scrollWidth - e.clientWidth));
  const Small = () => page.evaluate(() => [...document.querySelectorAll('button, select, input:not([type=checkbox]), .open')]
    .filter(element => element.checkVisibility() && element.getBoundingClientRect().height < 43.9)
    .map(element => element.id || element.textContent));
  assert.deepEqual([await Overflow(), await Small()], [[0], []]);
  await OpenItem(page, 0);
  await page.click('#add-pin');
  await page.keyboard.press('Enter');
  await page.keyboard.type('x');
  assert.deepEqual([await Overflow(), await Small()], [[0, 0], []]);
  await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
  assert.deepEqual(await Overflow(), [0, 0]);
  await page.click('#viewer-help');
  assert.deepEqual(await Overflow(), [0, 0, 0]);
});

for (const [name, options] of [['desktop, light', kDesktop], ['phone, dark', {...kPhone, colorScheme: 'dark'}]]) {
  PageTest(`accessibility (${name}): axe-core finds nothing serious in any state`, options, async page => {
    await NoSeriousViolation(page, 'grid');
    await OpenItem(page, 0);
    await page.click('#add-pin');
    await page.keyboard.press('Enter');
    await page.keyboard.type('A comment');
    await page.click('#approve');
    await NoSeriousViolation(page, 'viewer');
    await page.selectOption('#compare', {index: 1});
    await page.waitForSelector('.compared-picture');
    await NoSeriousViolation(page, 'compare');
    await page.click('#viewer-help');
    await NoSeriousViolation(page, 'help');
    await page.keyboard.press('Escape');
    await page.selectOption('#size', '0');
    await NoSeriousViolation(page, 'card');
    await page.keyboard.press('Escape');
    await page.click('#viewer-close');
    await page.click('#open-send');
    await NoSeriousViolation(page, 'send');
  });
}

test('markup: html-validate has nothing to say of the page', async () => {
  const report = await new HtmlValidate({extends: ['html-validate:recommended']}).validateString(
    ReadInFolder('review.html').replace(/base64,[A-Za-z0-9+/=]+/g, 'base64,').replace(/(<script type="text\/plain"[^>]*>)[^<]*/g, '$1'));
  assert.deepEqual(report.results.flatMap(({messages}) => messages.map(({line, message}) => `${line}: ${message}`)), []);
});

PageTest('paper: names, verdicts, the words of pins and who signed; no buttons', kDesktop, async page => {
  await AnswerAll(page);
  const pdf = await page.pdf({format: 'A4'});
  const words = execFileSync('pdftotext', ['-', '-'], {input: pdf, encoding: 'utf8'}).replace(/\s+/g, ' ');
  for (const wanted of [`Answers of Änne ${kHostile}.`, 'All in all', 'Approved', 'Change asked for', `1: By keys ${kHostile}`, '2: By mouse',
    '1 (from 4 m): Too small from there', 'not proofs', 'visualisation, not a proof', 'plain, night']) {
    assert.ok(words.includes(wanted), `${wanted} in ${words}`);
  }
  for (const unwanted of ['Save as a file', 'Send answers', 'Close']) assert.ok(!words.includes(unwanted), unwanted);
});

// Last: it changes the batch.
test('a new edition: answers to the earlier one are not mixed in; on consent those to unchanged pictures come over', async () => {
  const {page, context, troubles} = await OpenPage(browser, url);
  await AnswerAll(page);
  await page.goto(MakeNewEdition());
  assert.match(await Text(page, '#notice-text'), /earlier edition.*2 of its pictures are here unchanged|earlier edition.*1 of its pictures is here unchanged/);
  assert.equal((await AnswersIn(page)).items.length, 0);
  await page.click('#notice-yes');
  assert.deepEqual((await AnswersIn(page)).items.map(({file}) => file), ['wall/plain-night-page.jpg']);
  assert.deepEqual(troubles, []);
  await context.close();
});
