"use strict";
/* What is pressed on the phone stays on it until the bench has said that it is written, and is sent
   again with the same letters until then. Without this script every form is sent as it stands. */
(() => {
  const KEPT = "setupsheets unsent", AGAIN = 2000, LONGEST = 15000, ASKS = [409, 422];
  const room = document.getElementById("unsent");
  let timer = 0, sending = false, pressed = null;

  const store = {
    read() { try { return JSON.parse(localStorage.getItem(KEPT)); } catch { return null; } },
    write(value) {
      try { localStorage.setItem(KEPT, JSON.stringify(value)); return true; } catch { return false; }
    },
    clear() { try { localStorage.removeItem(KEPT); } catch { /* nothing was kept then */ } },
  };

  const say = (words) => { room.textContent = words; };
  /* What cannot be sent can be thrown away by hand, and by nothing else. */
  const notYet = (kept, why) => {
    say(`Not written yet: ${kept.said}. ${why} It is kept on this phone and sent again by itself; the next waits until then.`);
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet";
    button.textContent = "Throw it away";
    button.addEventListener("click", () => { clearTimeout(timer); store.clear(); say(""); });
    room.append(button);
  };
  const later = () => { clearTimeout(timer); timer = setTimeout(send, AGAIN); };

  /* Only "go on there" from the bench says that it is written. A page that asks something back
     (ASKS) is shown: the form is sent once more as a browser does it. */
  async function send() {
    const kept = store.read();
    if (!kept || sending) return;
    sending = true;
    clearTimeout(timer);
    const stop = new AbortController(), limit = setTimeout(() => stop.abort(), LONGEST);
    try {
      const answer = await fetch(kept.action, {
        method: "POST", body: new URLSearchParams(kept.fields), signal: stop.signal,
      });
      if (answer.redirected && answer.ok) {
        store.clear();
        location.assign(answer.url);
      } else if (ASKS.includes(answer.status)) {
        store.clear();
        plainly(kept);
      } else {
        notYet(kept, await why(answer));
        later();
      }
    } catch {
      notYet(kept, "No connection to the bench.");
      later();
    } finally {
      clearTimeout(limit);
      sending = false;
    }
  }

  /* What the page of the bench says that something is wrong with. */
  async function why(answer) {
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const lines = [...page.querySelectorAll("[role=alert] :is(li, p)")];
    const told = lines.map((each) => each.textContent.trim()).filter(Boolean).join(" ")
      || (page.querySelector("h1") || page.body).textContent.trim();
    return told || `The bench answers ${answer.status}.`;
  }

  function plainly(kept) {
    const form = document.createElement("form");
    form.method = "post";
    form.action = kept.action;
    for (const [name, value] of kept.fields) {
      const field = document.createElement("input");
      field.type = "hidden";
      field.name = name;
      field.value = value;
      form.append(field);
    }
    document.body.append(form);
    HTMLFormElement.prototype.submit.call(form);
  }

  /* Which button it was, for browsers that do not tell it of a form that is sent. */
  document.addEventListener("click", (event) => { pressed = event.target.closest("button"); }, true);
  document.addEventListener("submit", (event) => {
    const form = event.target, button = event.submitter || (form.contains(pressed) ? pressed : null);
    if (form.method !== "post") return;
    const fields = [...new FormData(form)].map(([name, value]) => [name, String(value)]);
    if (button && button.name) fields.push([button.name, button.value]);
    const before = store.read();
    if (before) { event.preventDefault(); send(); return; }
    const hidden = ["own", "at", "act", "sure", "by", "pair", "record", "since"];
    const said = fields.filter(([name, value]) => value && !hidden.includes(name))
      .map(([name, value]) => (name === "under" ? `/${value}` : ` ${value}`)).join("").trim()
      || (button ? button.textContent : "");
    if (!store.write({ action: form.action, fields, said })) return;
    event.preventDefault();
    say("Sending …");
    send();
  });
  addEventListener("online", send);
  addEventListener("pageshow", () => {
    const kept = store.read();
    say(kept ? `Not written yet: ${kept.said}. Sending …` : "");
    if (kept) send();
  });

  /* Digits to press with a glove, into the field that is in hand. */
  const pad = document.getElementById("digits");
  if (pad) {
    const inputs = [...document.querySelectorAll(".figure-in input")];
    let field = inputs[0];
    inputs.forEach((each) => each.addEventListener("focus", () => { field = each; }));
    const point = inputs.length === 1 ? "." : "next";
    /* Many a phone's own keys for a number have a comma and no point. */
    if (inputs.length === 1)
      field.addEventListener("input", () => { field.value = field.value.replace(",", "."); });
    for (const key of ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0", point, "back"]) {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "quiet";
      button.textContent = key;
      button.addEventListener("click", () => {
        if (key === "back") field.value = field.value.slice(0, -1);
        else if (key === "next") field = inputs[(inputs.indexOf(field) + 1) % inputs.length];
        else field.value += key;
        mark();
      });
      pad.append(button);
    }
    const mark = () => inputs.forEach((each) => each.toggleAttribute("data-in-hand", each === field));
    document.querySelectorAll("input[name=under]").forEach((each) =>
      each.addEventListener("change", () => { field = inputs[1]; mark(); }));
    pad.hidden = false;
    mark();
  }
})();
