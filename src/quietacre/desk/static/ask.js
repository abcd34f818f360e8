// How the page asks and tells the server, with the key of its tab.
// @ts-check
import { say } from "./say.js";

const KEY = "quietacre-key";

/** Whether the desk did not answer when it was last asked. */
export const line = { gone: false };

/** Whether this tab may ask at all. */
export const hasKey = () => Boolean(sessionStorage.getItem(KEY));

/** Take the key of the desk for a ticket; what the page begins with comes along. */
export async function takeKey(/** @type {string} */ ticket) {
  const { key, ...found } = await ask("key", { ticket });
  sessionStorage.setItem(KEY, key);
  return found;
}

/** An answer of the server that is not what was asked for. */
export class Refused extends Error {
  /** @param {any} data @param {number} status */
  constructor(data, status) {
    super(data.why || "the desk did not answer");
    this.data = data;
    this.status = status;
  }
}

/** What is thrown where the desk does not answer at all. */
export function gone() {
  line.gone = true;
  return new Refused(
    { why: "the desk is not running any more: start it again; what was kept is kept" },
    0,
  );
}

/**
 * Ask or tell the server.
 * @param {string} path
 * @param {any} [body] JSON to tell, or a File; nothing to ask
 * @param {Record<string, string>} [headers]
 */
export async function ask(path, body, headers = {}) {
  const key = sessionStorage.getItem(KEY) || "";
  const file = body instanceof Blob;
  let answer;
  try {
    answer = await fetch(`/api/${path}`, {
      method: body === undefined ? "GET" : "POST",
      headers: { "X-Quietacre-Key": key, ...headers },
      body: body === undefined ? undefined : file ? body : JSON.stringify(body),
      cache: "no-store",
    });
  } catch {
    throw gone();
  }
  const type = answer.headers.get("content-type") || "";
  const data = type.includes("json") ? await answer.json() : { why: await answer.text() };
  if (!answer.ok) throw new Refused(data, answer.status);
  return data;
}

/** A file that was sent to the desk, and the word that it goes by there. */
export class Brought {
  /** @param {File} file @param {string} path @param {Record<string, string>} [headers] */
  constructor(file, path, headers = {}) {
    this.file = file;
    this.path = path;
    this.headers = { "X-Name": encodeURIComponent(file.name), ...headers };
    this.token = "";
  }

  /** Send it, and return what the desk says of it. */
  async send() {
    const answer = await ask(this.path, this.file, this.headers);
    this.token = answer.token;
    return answer;
  }

  /**
   * Tell the desk something of the file; one that was started anew is sent it again first.
   * @param {string} path @param {(token: string) => any} words
   */
  async ask(path, words) {
    try {
      return await ask(path, words(this.token));
    } catch (problem) {
      if (!(problem instanceof Refused) || !problem.data.gone) throw problem;
      await this.send();
      return ask(path, words(this.token));
    }
  }
}

/** The bytes of something that is shown. @param {string} path @returns {Promise<Blob>} */
export async function askBytes(path) {
  const answer = await fetch(`/api/${path}`, {
    headers: { "X-Quietacre-Key": sessionStorage.getItem(KEY) || "" },
    cache: "no-store",
  });
  if (!answer.ok) throw new Refused({ why: await answer.text() }, answer.status);
  return answer.blob();
}

/** The events of a build. @param {(line: any) => void} tell */
export async function follow(tell) {
  const answer = await fetch("/api/steps", {
    headers: { "X-Quietacre-Key": sessionStorage.getItem(KEY) || "" },
  });
  if (!answer.ok || !answer.body) return;
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    rest += value;
    const parts = rest.split("\n\n");
    rest = parts.pop() || "";
    for (const part of parts) tell(JSON.parse(part.replace(/^data: /, "")));
  }
}

/**
 * Run something for a click or a form: say why when it is refused.
 * @param {() => Promise<any>} run
 * @returns {Promise<Refused | null>} why it was not done; null when it was
 */
export async function tryIt(run) {
  try {
    await run();
    return null;
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    say(problem.message, "doubts");
    return problem;
  }
}
