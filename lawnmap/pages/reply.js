/* A reply: one small file, or lines of text, that lawnmap reads back.

{"lawnmap_reply": 1, "digest": SHA-256 of the content's UTF-8 bytes, "content": JSON as text} */

const ROUNDS = firstPrimes(64).map((prime) => fraction(Math.cbrt(prime)));
const BEGINNING = firstPrimes(8).map((prime) => fraction(Math.sqrt(prime)));
const LINE = 64; // characters of base64 in a line, as in a mail
const MOST_LETTERS = 40; // of a title in a file name

function firstPrimes(count) {
  const found = [];
  for (let number = 2; found.length < count; number += 1) {
    if (found.every((prime) => number % prime)) {
      found.push(number);
    }
  }
  return found;
}

/* The first 32 bits behind the point, which is where FIPS 180-4 takes its constants from. */
function fraction(value) {
  return Math.floor((value - Math.floor(value)) * 2 ** 32) | 0;
}

/* SHA-256 of a text's UTF-8 bytes, in hex (FIPS 180-4, 5.1.1 and 6.2.2).

The browser's own is missing on pages that were opened from disk. */
function sha256(text) {
  const state = [...BEGINNING];
  const blocks = padded(new TextEncoder().encode(text));
  for (let at = 0; at < blocks.byteLength; at += 64) {
    mixBlock(state, schedule(blocks, at));
  }
  return state.map((word) => (word >>> 0).toString(16).padStart(8, "0")).join("");
}

function padded(bytes) {
  const whole = new Uint8Array(64 * Math.ceil((bytes.length + 9) / 64));
  whole.set(bytes);
  whole[bytes.length] = 0x80;
  const view = new DataView(whole.buffer);
  view.setUint32(whole.length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(whole.length - 4, bytes.length << 3);
  return view;
}

function turned(word, by) {
  return (word >>> by) | (word << (32 - by));
}

function schedule(blocks, at) {
  const words = new Int32Array(64);
  for (let t = 0; t < 16; t += 1) {
    words[t] = blocks.getInt32(at + 4 * t);
  }
  for (let t = 16; t < 64; t += 1) {
    const [early, late] = [words[t - 15], words[t - 2]];
    const low = turned(early, 7) ^ turned(early, 18) ^ (early >>> 3);
    const high = turned(late, 17) ^ turned(late, 19) ^ (late >>> 10);
    words[t] = words[t - 16] + low + words[t - 7] + high;
  }
  return words;
}

function mixBlock(state, words) {
  let [a, b, c, d, e, f, g, h] = state;
  for (let t = 0; t < 64; t += 1) {
    const one = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
    const chosen = (e & f) ^ (~e & g);
    const first = (h + one + chosen + ROUNDS[t] + words[t]) | 0;
    const two = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
    const most = (a & b) ^ (a & c) ^ (b & c);
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + first) | 0, c, b, a, (first + two + most) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, place) => {
    state[place] = (state[place] + word) | 0;
  });
}

/* A short name that no other thing in any reply has. */
function madeUpId() {
  const bytes = crypto.getRandomValues(new Uint8Array(8));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/* The moment in UTC to the second: YYYY-MM-DDTHH:MM:SSZ. */
function momentNow() {
  return `${new Date().toISOString().slice(0, 19)}Z`;
}

/* Make a reply of its content.

content: {kind, site: {id, title, revision}, issued, by}; lists that are not given are empty.
Returns {text: the file's text, digest, name: the file's name, content}. */
function makeReply(given) {
  const lists = ["zones", "sketches", "places", "cores", "comments", "agreements", "work"];
  const empty = Object.fromEntries(lists.map((name) => [name, []]));
  const content = { at: momentNow(), ...empty, answers: {}, ...given };
  // Half a pair of a letter beyond 16 bits is no text: UTF-8 could not hold it.
  const whole = (key, value) =>
    typeof value === "string" ? value.replace(/\p{Surrogate}/gu, "\ufffd") : value;
  const written = JSON.stringify(content, whole);
  const digest = sha256(written);
  return {
    text: JSON.stringify({ lawnmap_reply: 1, digest: digest, content: written }),
    digest: digest,
    name: replyName(content, digest),
    content: content,
  };
}

function replyName(content, digest) {
  const plain = content.site.title.normalize("NFKD").replace(/[^A-Za-z0-9]+/g, "-");
  const title = plain.slice(0, MOST_LETTERS).replace(/^-+|-+$/g, "").toLowerCase();
  const day = content.at.slice(0, 10);
  return [content.kind, title, day, digest.slice(0, 8)].filter(Boolean).join("-") + ".json";
}

/* Hand the reply to the browser as a file to keep. */
function saveReply(reply) {
  const link = document.createElement("a");
  link.download = reply.name;
  let made = "";
  try {
    made = URL.createObjectURL(new Blob([reply.text], { type: "application/json" }));
    link.href = made;
  } catch {
    link.href = `data:application/json;charset=utf-8,${encodeURIComponent(reply.text)}`;
  }
  document.body.append(link);
  link.click();
  link.remove();
  if (made) {
    // Not at once: some browsers begin to fetch it only after the click is over.
    setTimeout(() => URL.revokeObjectURL(made), 60000);
  }
}

/* The reply as text for a mail: readable lines, then the file in base64 between two marks. */
function replyAsText(reply, lines) {
  const bytes = new TextEncoder().encode(reply.text);
  let letters = "";
  bytes.forEach((byte) => {
    letters += String.fromCharCode(byte);
  });
  const rows = btoa(letters).match(new RegExp(`.{1,${LINE}}`, "g"));
  const [begin, end] = ["BEGIN", "END"].map((which) => `-----${which} LAWNMAP REPLY-----`);
  return [...lines, "", begin, ...rows, end, ""].join("\n");
}

/* Copy a text; resolves to whether it was copied. If not, it stands chosen in the field given. */
async function copyText(text, field) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    field.value = text;
    field.hidden = false;
    field.focus();
    field.setSelectionRange(0, text.length);
    let copied = false;
    try {
      copied = document.execCommand("copy");
    } catch {
      copied = false;
    }
    field.hidden = copied;
    return copied;
  }
}
