"use strict";
// Puts what the host sends in the place of what is shown. The host has escaped it;
// the page's policy lets no script in it run either way.
const board = document.getElementById("board");
const state = document.getElementById("state");
const events = new EventSource("events" + location.search);
events.onmessage = (e) => {
  const part = new DOMParser().parseFromString(e.data, "text/html");
  board.replaceChildren(...part.body.childNodes);
};
events.onopen = () => { state.textContent = ""; };
events.onerror = () => { state.textContent = "The host does not answer; what is shown is old."; };
