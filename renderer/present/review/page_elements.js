'use strict';
// page_elements.js - small helpers for elements and words. Texts from outside go in as textContent only.

const At = id => document.getElementById(id);

// Make('button', {type: 'button', textContent: 'Close'}, child...); keys with "-" or named "role" are attributes.
function Make(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(properties)) {
    if (key.includes('-') || key === 'role') element.setAttribute(key, value);
    else element[key] = value;
  }
  element.append(...children);
  return element;
}

const Lines = texts => texts.map(text => Make('li', {textContent: text}));

const OnClick = (id, call) => At(id).addEventListener('click', call);

// "1 comment", "3 comments"; `more` where the plural is not made by an s.
const Count = (count, one, more = `${one}s`) => `${count} ${count === 1 ? one : more}`;

// The address names what is open, so that "back" closes it. Some places where a page can lie allow no address of its own.
function SetAddress(fragment) {
  try {
    history.replaceState(null, '', fragment);
  } catch {
    // Nothing hangs on it.
  }
}

// Tells what has changed, to eyes and screen readers: in the open viewer or on the page. `stays`: until the next word.
let say_timer = 0;
function Say(text, stays = false) {
  clearTimeout(say_timer);
  const place = At(At('viewer').open ? 'say' : 'page-say');
  place.textContent = text;
  if (!stays && text) say_timer = setTimeout(() => place.textContent = '', 5000);
}
