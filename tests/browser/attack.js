// Each attempt ends with what was read of the house, or "" where nothing was. `OURS` is the house.
const OURS = new URLSearchParams(location.search).get("ours");
const EPISODE = `${OURS}/episodes/small-wardrobe-3`;
const FORM = new URLSearchParams({ title: "Taken over", starter: "blank" });
const KEPT = /Lighthouse|Small Wardrobe|Seamslate|edition=/;
const found = (text) => (KEPT.test(text ?? "") ? String(text).slice(0, 80) : "");
const wait = (ms) => new Promise((done) => setTimeout(done, ms));

async function fetched(address, options) {
  try {
    return found(await (await fetch(address, options)).text());
  } catch {
    return "";
  }
}

// An element that loads something; what it shows of it.
async function loads(tag, values, into = document.body) {
  const element = Object.assign(document.createElement(tag), values);
  let outcome = "";
  const ended = new Promise((done) => {
    element.onload = () => done((outcome = "loaded"));
    element.onerror = () => done();
    setTimeout(done, 1500);
  });
  into.append(element);
  await ended;
  let read = "";
  try {
    read = found(element.contentDocument?.documentElement?.outerHTML);
  } catch {}
  return { outcome, element, read };
}

async function framed(tag, attribute) {
  // Whether the frame holds our page, or an error page of the browser's own, the test looks itself.
  return (await loads(tag, { [attribute]: `${EPISODE}/brief` })).read;
}

async function posted(enctype, action, name = "title") {
  const frame = document.createElement("iframe");
  frame.name = `f${Math.random()}`;
  document.body.append(frame);
  const form = Object.assign(document.createElement("form"), {
    method: "post", action, enctype, target: frame.name,
  });
  const field = Object.assign(document.createElement("input"), { name, value: "Taken over" });
  const starter = Object.assign(document.createElement("input"), { name: "starter", value: "blank" });
  form.append(field, starter);
  document.body.append(form);
  const answered = new Promise((done) => {
    frame.onload = done; // of an answer that may not be shown here too
    setTimeout(done, 3000);
  });
  form.submit();
  await answered;
  try {
    return found(frame.contentDocument?.body?.innerHTML);
  } catch {
    return "";
  }
}

async function opened() {
  let said = "";
  addEventListener("message", (event) => (said = event.origin === OURS ? found(event.data) : said));
  const other = open(`${EPISODE}/brief`);
  if (!other) return "no window";
  await wait(1200);
  let read = "";
  try {
    other.postMessage("title=Taken over", "*");
    read = found(other.document.body.innerHTML);
  } catch {}
  await wait(100);
  other.close();
  return read || said;
}

async function socket() {
  const one = new WebSocket(`${OURS.replace("http", "ws")}/episodes`);
  return new Promise((done) => {
    one.onopen = () => done("open");
    one.onmessage = (event) => done(found(event.data) || "message");
    one.onerror = () => done("");
  });
}

async function styled() {
  const { element } = await loads("link", { rel: "stylesheet", href: `${OURS}/static/css/house.css` });
  try {
    return element.sheet?.cssRules.length ? "rules" : "";
  } catch {
    return "";
  }
}

async function pictured() {
  const { element, outcome } = await loads("img", { src: `${OURS}/static/mark.svg` });
  return outcome === "loaded" && element.naturalWidth ? "picture" : "";
}

async function scripted(address) {
  const before = Object.keys(window).length;
  const { outcome } = await loads("script", { src: address });
  return outcome === "loaded" || Object.keys(window).length > before + 1 ? "script ran" : "";
}

const attacks = {
  "fetch cors": () => fetched(`${EPISODE}/brief`, { credentials: "include" }),
  "fetch no-cors": () => fetched(`${EPISODE}/brief`, { mode: "no-cors", credentials: "include" }),
  "fetch same-origin": () => fetched(`${EPISODE}/brief`, { mode: "same-origin" }),
  "fetch the file": () => fetched(`${EPISODE}/episode.json`, { credentials: "include" }),
  "fetch the document": () => fetched(`${OURS}/openapi.json`, { mode: "no-cors" }),
  "post cors": () => fetched(`${OURS}/episodes`, { method: "POST", body: FORM, credentials: "include" }),
  "post no-cors": () => fetched(`${OURS}/episodes`, { method: "POST", body: FORM, mode: "no-cors", credentials: "include" }),
  "post no-cors to an episode": () => fetched(`${EPISODE}/brief`, { method: "POST", body: FORM, mode: "no-cors", credentials: "include" }),
  "post as text": () => fetched(`${EPISODE}/brief`, { method: "POST", body: "title=Taken over", mode: "no-cors" }),
  "post JSON": () => fetched(`${EPISODE}/table`, { method: "POST", body: "{}", headers: { "content-type": "application/json" } }),
  "post as htmx": () => fetched(`${EPISODE}/brief`, { method: "POST", body: FORM, headers: { "HX-Request": "true" } }),
  "put": () => fetched(`${EPISODE}/brief`, { method: "PUT", body: FORM }),
  "delete": () => fetched(`${EPISODE}/delete`, { method: "DELETE" }),
  "no referrer": () => fetched(`${EPISODE}/undo`, { method: "POST", mode: "no-cors", referrerPolicy: "no-referrer" }),
  "kept alive": () => fetched(`${EPISODE}/undo`, { method: "POST", mode: "no-cors", keepalive: true }),
  "beacon": async () => (navigator.sendBeacon(`${EPISODE}/brief`, FORM), await wait(300), ""),
  "form url-encoded": () => posted("application/x-www-form-urlencoded", `${OURS}/episodes`),
  "form multipart": () => posted("multipart/form-data", `${EPISODE}/brief`),
  "form text/plain": () => posted("text/plain", `${EPISODE}/brief`),
  "form that deletes": () => posted("application/x-www-form-urlencoded", `${EPISODE}/delete`),
  "form that undoes": () => posted("application/x-www-form-urlencoded", `${EPISODE}/undo`),
  "form to sign out": () => posted("application/x-www-form-urlencoded", `${OURS}/sign-out`),
  "iframe": () => framed("iframe", "src"),
  "object": () => framed("object", "data"),
  "embed": () => framed("embed", "src"),
  "img": pictured,
  "script": () => scripted(`${OURS}/static/js/house.js`),
  "script of data": () => scripted(`${EPISODE}/episode.json`),
  "css": styled,
  "window": opened,
  "socket": socket,
};

// Scripts are told by what they leave in the window, so each is alone; the others go at once.
const told = {};
const alone = (name) => name.startsWith("script");
const done = async ([name, attack]) => {
  try {
    told[name] = await attack();
  } catch (error) {
    told[name] = "";
  }
};
const all = Object.entries(attacks);
for (const one of all.filter(([name]) => alone(name))) await done(one);
await Promise.all(all.filter(([name]) => !alone(name)).map(done));
window.whatWasRead = told;
