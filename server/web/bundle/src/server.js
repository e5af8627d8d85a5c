// Talking with the server.

/** What went wrong with a request, with what the server said about it. */
export class Refused extends Error {
  /**
   * @param {number} status
   * @param {any} body the problem document, null when there is none
   */
  constructor(status, body) {
    super([body?.title, body?.detail].filter(Boolean).map(t => sentence(String(t))).join(" "));
    this.status = status;
    this.body = body;
  }
}

/** @param {string} t */
function sentence(t) {
  const s = t.charAt(0).toUpperCase() + t.slice(1);
  return /[.!?]$/.test(s) ? s : s + ".";
}

/**
 * Sends a request and answers with the response and its JSON. A network failure stays the TypeError that fetch throws.
 * @param {string} url
 * @param {RequestInit} [init]
 * @param {string} [csrf]
 * @returns {Promise<{response: Response, body: any}>}
 */
export async function call(url, init = {}, csrf = "") {
  const headers = new Headers(init.headers);
  headers.set("Accept", "application/geo+json, application/json, application/problem+json");
  if (csrf) headers.set("X-CSRF-Token", csrf);
  const response = await fetch(url, { cache: "no-store", credentials: "same-origin", ...init, headers });
  const text = await response.text();
  let body = null;
  try {
    body = text ? JSON.parse(text) : null;
  } catch {
    if (response.ok) throw new Refused(response.status, null); // a page instead of data, such as a sign-in of a hotel's net
  }
  if (!response.ok) throw new Refused(response.status, body);
  return { response, body };
}

/**
 * A key under which the server answers the same to the same request sent again.
 * @returns {string}
 */
export function newKey() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), b => b.toString(16).padStart(2, "0")).join("");
}
