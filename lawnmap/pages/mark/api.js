/* The only way to the server. The token comes in the address's fragment and leaves it at once; or
   the fragment holds a code that is good for one exchange against the token. */

const PLACE = "lawnmap-token"; // of this tab, so that the page can be loaded again
let token = "";

export class Refused extends Error {
  /* `status` is 0 when nobody answered; `body` is the whole answer, for a conflict. */
  constructor(status, error, body) {
    super(error.problem);
    this.status = status;
    this.error = error;
    this.body = body || {};
  }
}

export async function takeToken() {
  const fragment = new URLSearchParams(location.hash.slice(1));
  history.replaceState(null, "", location.pathname);
  token = fragment.get("t") || sessionStorage.getItem(PLACE) || "";
  if (fragment.has("c")) {
    token = (await ask("/api/enter", { code: fragment.get("c") })).token;
  }
  sessionStorage.setItem(PLACE, token);
}

/* Ask for something (no body) or say something; returns the result, or throws Refused. */
export async function ask(path, body) {
  const headers = { "X-Lawnmap-Token": token };
  const asked = { headers: headers, cache: "no-store" };
  if (body !== undefined) {
    headers["Content-Type"] = "application/json";
    Object.assign(asked, { method: "POST", body: JSON.stringify(body) });
  }
  let answer, told;
  try {
    answer = await fetch(path, asked);
    told = await answer.text();
  } catch {
    throw new Refused(0, { problem: "lawnmap does not answer", remedy: "" });
  }
  const found = parsed(told);
  if (!answer.ok) {
    throw new Refused(answer.status, found.error || { problem: reason(answer.status) }, found);
  }
  return found.result;
}

function parsed(text) {
  try {
    return JSON.parse(text) || {};
  } catch {
    return {};
  }
}

function reason(status) {
  return {
    401: "this page no longer has the key to lawnmap: run lawnmap mark again",
    413: "that is more than lawnmap takes at once",
  }[status] || `lawnmap refused the request (${status})`;
}
