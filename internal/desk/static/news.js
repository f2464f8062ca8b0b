// One stream of news for all tabs: a browser opens only so many connections to
// a server, and a stream in each tab would use them up.
"use strict";
const tabs = new Set();
let last = null;
const events = new EventSource("/events");
events.addEventListener("versions", (ev) => {
  last = JSON.parse(ev.data);
  for (const tab of tabs) tab.postMessage(last);
});
self.onconnect = (ev) => {
  const tab = ev.ports[0];
  tabs.add(tab);
  tab.onmessage = (said) => {
    if (said.data === "bye") { tabs.delete(tab); return; }
    tabs.add(tab);
    if (last) tab.postMessage(last);
  };
  if (last) tab.postMessage(last);
};
