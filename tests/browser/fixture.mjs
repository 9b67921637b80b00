// fixture.mjs - a small batch and its review page, made by the program, and a browser that notes what the page does.
//
// Scene   a wall of one gray, seen straight on: 700 x 525 mm of it are 700 x 525 px of the photograph, so a mark that is
//         printed 300 mm wide is 300 px wide, whatever else is right or wrong.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {pathToFileURL} from 'node:url';
import {chromium} from 'playwright-core';

export const kHostile = '"><script>alert(1)</script>';
export const kMarkMm = 300;

const program = process.env.WHEATPASTE;
assert.ok(program, 'WHEATPASTE: expected the program to test, such as build/wheatpaste');

const Scene = (title, substrate) => `title = '${title}'
[photo]
file = "wall.png"
focal_px = 1000
[[surface]]
name = "wall"
shape = "plane"
size = [700, 525]
corners = [[50, 37.5], [750, 37.5], [750, 562.5], [50, 562.5]]
substrate = "${substrate}"
[[placement]]
surface = "wall"
artwork = "mark"
width = ${kMarkMm}
`;

const Svg = shape => `<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="20mm">${shape}</svg>\n`;

const Run = title => `title = '${title}'
scenes = ["wall.toml", "door.toml"]
[[artwork]]
name = "plain"
slots = { mark = "plain.svg" }
[[artwork]]
name = "round"
slots = { mark = "round.svg" }
[[colourway]]
name = "night"
recolour = { "#b01070" = "#204080" }
[[output]]
name = "page"
format = "jpeg"
quality = 95
[[output]]
name = "far"
from_metres = 4
format = "jpeg"
[[output]]
name = "deutan"
vision = "deutan"
format = "jpeg"
`;

const folder = mkdtempSync(join(tmpdir(), 'review-'));
process.on('exit', () => rmSync(folder, {recursive: true, force: true}));
const In = name => join(folder, name);

export function WriteInFolder(name, text) {
  writeFileSync(In(name), text);
  return In(name);
}

export const ReadInFolder = name => readFileSync(In(name), 'utf8');

// returns  what it prints.
export function RunProgram(...words) {
  return execFileSync(program, words, {cwd: folder, stdio: ['ignore', 'pipe', 'pipe'], encoding: 'utf8'});
}

// run-out/review.html: 2 scenes x 2 artworks x 2 colourways, all titles hostile.
export function MakePage() {
  execFileSync('convert', ['-size', '800x600', 'xc:rgb(200,200,200)', 'PNG24:wall.png'], {cwd: folder});
  WriteInFolder('wall.toml', Scene(`Wall ${kHostile}`, 'coated paper'));
  WriteInFolder('door.toml', Scene(`Door ${kHostile}`, 'uncoated paper'));
  WriteInFolder('plain.svg', Svg('<rect width="100%" height="100%" fill="#b01070"/>'));
  WriteInFolder('round.svg', Svg('<ellipse cx="50%" cy="50%" rx="50%" ry="50%" fill="#b01070"/>'));
  WriteInFolder('run.toml', Run(`Round one ${kHostile}`));
  RunProgram('batch', 'run.toml', '--out', 'run-out');
  RunProgram('review', 'run-out', '--out', 'review.html');
  return pathToFileURL(In('review.html')).href;
}

// A new edition: one artwork has changed.
export function MakeNewEdition() {
  WriteInFolder('round.svg', Svg('<ellipse cx="50%" cy="50%" rx="40%" ry="50%" fill="#b01070"/>'));
  RunProgram('batch', 'run.toml', '--out', 'run-out');
  RunProgram('review', 'run-out', '--out', 'edition.html');
  return pathToFileURL(In('edition.html')).href;
}

// The same with its pictures beside it, in linked-pictures/.
export function MakeLinkedPage() {
  RunProgram('review', 'run-out', '--out', 'linked.html', '--linked');
  return pathToFileURL(In('linked.html')).href;
}

export function RemoveFromFolder(name) {
  rmSync(In(name), {recursive: true});
}

export const kDesktop = {viewport: {width: 1280, height: 800}};
export const kPhone = {viewport: {width: 390, height: 844}, deviceScaleFactor: 2, hasTouch: true, isMobile: true};

export function StartBrowser() {
  // Debian's own; a container's root cannot use the sandbox.
  return chromium.launch({executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: process.getuid() === 0 ? ['--no-sandbox'] : []});
}

// A page in a profile of its own. `troubles` holds whatever it should not do: errors, policy violations, requests that
// leave the machine. None of the tests but those of hostile pages may find any.
export async function OpenPage(browser, url, options = kDesktop, Before = null) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.setDefaultTimeout(15000);
  const troubles = [];
  page.on('pageerror', error => troubles.push(`error: ${error.stack}`));
  page.on('console', message => { if (['error', 'warning'].includes(message.type())) troubles.push(`console: ${message.text()}`); });
  page.on('dialog', dialog => { troubles.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  page.on('request', request => { if (!/^(file|data|blob):/.test(request.url())) troubles.push(`request: ${request.url()}`); });
  if (Before) await page.addInitScript(Before);
  await page.goto(url);
  return {page, context, troubles};
}
