// What was pressed at the table and found no connection is sent from any page of the app, not only
// from the table, and it is told what came of it.

import { counted, keptEpisodes, Queue } from "./table-queue.js";

const told = document.getElementById("kept-at-table");
const atTable = document.getElementById("table")?.dataset.episode; // that page sends its own

function tell(words, address, link) {
  const to = document.createElement("a");
  to.href = address;
  to.textContent = link;
  const line = document.createElement("p");
  line.append(`${words} `, to);
  told.replaceChildren(line);
  told.hidden = false;
}

function send(episode) {
  const base = `/episodes/${encodeURIComponent(episode)}`;
  const table = `${base}/table`;
  const queue = new Queue(episode, `${table}/entries`, (state) => {
    if (queue.refused.length) {
      const count = queue.refused.length;
      tell(`${count} of what was pressed at the table could not be saved.`, table, "See why at the table");
    } else if (queue.entries.length) {
      if (queue.reached && !queue.gone) return;
      const why = queue.gone ? "Its episode was deleted." : queue.why || "Sent when the connection is back.";
      tell(`${counted(queue.entries)} kept from the table. ${why}`, table, "At the table");
    } else if (state) {
      const here = location.pathname.startsWith(base);
      const [address, link] = here ? [location.href.split("#")[0], "Show this page with them"] : [base, "See the episode"];
      tell(`Saved from the table: ${kept}.`, address, link);
    }
  });
  const kept = counted(queue.entries); // before any of it is sent
  queue.send();
}

for (const episode of keptEpisodes()) if (episode !== atTable) send(episode);
