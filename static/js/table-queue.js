// What is pressed at the table is kept in this browser until the server has answered for it.
//
// Entries are sent in the order they were made, each with an id of its own and the moment at which
// it was made; the server accepts an id once, so that one whose answer was lost is sent again.

const FIRST_MS = 1000;
const LONGEST_MS = 30_000;
const MOST = 100; // entries at a time
const WAIT_MS = 20_000; // for an answer

// Without a secure address there is no randomUUID.
export function freshId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
}

function stored(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "[]");
  } catch {
    return null; // this browser keeps nothing, or not any more
  }
}

const plural = (count, one, many = `${one}s`) => `${count} ${count === 1 ? one : many}`;

// Entries in words: ticks of shots and presses of the clock.
export function counted(entries) {
  const ticks = entries.filter(({ act }) => ["filmed", "to film"].includes(act)).length;
  const presses = entries.length - ticks;
  const held = [ticks && plural(ticks, "tick"), presses && plural(presses, "press of the clock", "presses of the clock")];
  return held.filter(Boolean).join(" and ");
}

// The episodes of which this browser keeps something that is not sent, or was not taken.
export function keptEpisodes() {
  try {
    const keys = Object.keys(localStorage).map((key) => /^table (\S+)( refused)?$/.exec(key)?.[1]);
    const holds = (key) => stored(key)?.length > 0;
    return [...new Set(keys)].filter((one) => one && (holds(`table ${one}`) || holds(`table ${one} refused`)));
  } catch {
    return [];
  }
}

export class Queue {
  #key;
  #address;
  #entries; // where the browser keeps nothing
  #refused;
  #sending = false;
  #again = false;
  #timer = 0;
  #delay = FIRST_MS;

  // `changed` is called with the state that the server tells, or with nothing.
  constructor(name, address, changed) {
    this.#key = `table ${name}`;
    this.#address = address;
    this.changed = changed;
    this.keeps = true;
    this.reached = true;
    this.why = ""; // what is sent is not taken, where it says so: a full disk
    this.gone = false; // the episode was deleted
    this.#entries = stored(this.#key) ?? [];
    this.#refused = stored(`${this.#key} refused`) ?? [];
    try {
      localStorage.setItem(this.#key, JSON.stringify(this.#entries));
    } catch {
      this.keeps = false;
    }
    addEventListener("storage", ({ key }) => {
      if (key?.startsWith(this.#key)) this.#read();
      this.changed();
    });
    addEventListener("online", () => this.send());
    addEventListener("offline", () => {
      this.reached = false;
      this.changed();
    });
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) this.send();
    });
  }

  get entries() {
    return this.#entries;
  }
  get refused() {
    return this.#refused;
  }

  add(entry) {
    this.#read();
    this.#entries.push({ id: freshId(), at: new Date().toISOString(), ...entry });
    this.#write();
    this.changed();
    this.send();
    return this.#entries.at(-1);
  }

  // Say more about an entry that was refused.
  amend(id, more) {
    this.#read();
    for (const one of this.#refused) if (one.id === id) one.sentence += ` ${more}`;
    this.#write();
  }

  forget(id) {
    this.#read();
    this.#refused = this.#refused.filter((one) => one.id !== id);
    this.#write();
    this.changed();
  }

  // Another tab of this browser may have sent some of them meanwhile.
  #read() {
    if (!this.keeps) return;
    this.#entries = stored(this.#key) ?? this.#entries;
    this.#refused = stored(`${this.#key} refused`) ?? this.#refused;
  }
  #write() {
    try {
      localStorage.setItem(this.#key, JSON.stringify(this.#entries));
      localStorage.setItem(`${this.#key} refused`, JSON.stringify(this.#refused));
      this.keeps = true;
    } catch {
      this.keeps = false;
    }
  }

  // Send what there is, or only ask how things stand.
  async send() {
    clearTimeout(this.#timer);
    if (this.#sending) {
      this.#again = true;
      return;
    }
    this.#sending = true;
    this.#again = false;
    this.#read();
    const sent = this.#entries.slice(0, MOST);
    const state = await this.#ask(sent);
    this.#sending = false;
    const more = this.#again || this.#entries.length > 0;
    if (!state) {
      this.#timer = setTimeout(() => this.send(), this.#delay);
      this.#delay = Math.min(LONGEST_MS, this.#delay * 2);
    } else if (more) {
      this.send();
    }
    this.changed(state);
  }

  async #ask(sent) {
    try {
      // What a label is for stays here.
      const entries = sent.map(({ label, ...entry }) => entry);
      const answer = await fetch(this.#address, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ sent: new Date().toISOString(), entries }),
        signal: AbortSignal.timeout(WAIT_MS),
      });
      this.gone = answer.status === 404;
      this.why = [503, 507].includes(answer.status) ? await answer.text() : "";
      if (!answer.ok) throw new Error(answer.statusText);
      const { answers, state } = await answer.json();
      this.#read();
      const answered = new Map(answers.map((one) => [one.id, one.told]));
      if (sent.length && !sent.some((one) => answered.has(one.id))) throw new Error("No answer");
      const told = sent.filter((one) => answered.get(one.id));
      // The time of a clock that could not be joined is kept all the same, once it is stopped.
      const kept = new Set(sent.filter((one) => answered.get(one.id) === "").map((one) => one.start));
      this.#entries = this.#entries.filter((one) => !answered.has(one.id));
      for (const one of told.filter(({ id }) => !kept.has(id))) {
        this.#refused.push({ id: one.id, label: one.label, sentence: answered.get(one.id) });
      }
      this.#write();
      this.reached = true;
      this.#delay = FIRST_MS;
      return { ...state, told };
    } catch (error) {
      if (error instanceof TypeError) this.why = ""; // no connection
      this.reached = false;
      return null;
    }
  }
}
