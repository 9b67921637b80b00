'use strict';
// page_pictures.js - the large pictures: read from the page, or from the folder beside it, when they are first shown.
//
// Memory  a picture in the page is base64 in an element of its own; it becomes a Blob when it is wanted. The last
//         kHeld are held; older ones are let go, so that a page of several hundred does not fill a phone.

const kHeld = 8;
const held = new Map();  // by the PICTURE; the oldest first: {url, image: a promise of a decoded img}

// The rest of a page that is still being read is waited for: its pictures stand at its end.
function WholePage() {
  if (document.readyState !== 'loading') return Promise.resolve();
  return new Promise(resolve => document.addEventListener('DOMContentLoaded', resolve, {once: true}));
}

async function UrlOf(picture) {
  if (picture.src) return picture.src;
  if (!At(picture.id)) await WholePage();
  const codes = atob(At(picture.id).textContent.trim());
  const bytes = Uint8Array.from(codes, code => code.charCodeAt(0));
  return URL.createObjectURL(new Blob([bytes], {type: picture.type ?? 'image/jpeg'}));
}

async function Decode(entry, picture) {
  entry.url = await UrlOf(picture);
  const image = new Image();
  image.src = entry.url;
  image.draggable = false;
  await image.decode();
  return image;
}

// returns  a promise of the decoded <img>; rejected where the picture cannot be read.
function Picture(picture) {
  let entry = held.get(picture);
  held.delete(picture);
  if (!entry) {
    entry = {url: null, image: null};
    entry.image = Decode(entry, picture);
    entry.image.catch(() => held.delete(picture));  // tried anew the next time
  }
  held.set(picture, entry);
  for (const [oldest, {url, image}] of held) {
    if (held.size <= kHeld) break;
    held.delete(oldest);
    image.then(shown => {
      if (!shown.isConnected && url?.startsWith('blob:')) URL.revokeObjectURL(url);
    }, () => {});
  }
  return entry.image;
}
