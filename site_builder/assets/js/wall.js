/* The wall's tools: search, filters that combine with live counts, sorting, and hanging to scale.
   The state is kept in the address after #, so that a view can be sent to someone. The data come
   from two scripts beside the wall, loaded when they are first wanted (site_builder/pages/search_index.py);
   a page opened from the disk may load scripts, but no data. */

(() => {
  "use strict";

  const form = document.querySelector("[data-wall]");
  if (!form) return;
  const root = form.dataset.root;
  const found = document.querySelector(".wall-found");
  const status = form.querySelector(".found");
  const chosen = form.querySelector(".chosen");
  const sheet = [...document.querySelectorAll("[data-sheet]")];
  const allOff = form.querySelector(".all-off");
  const AT_ONCE = 60;
  const BEFORE_PAINT = 24; // cards that may be seen at once; the rest follow when these are painted

  let data = null; // facets, beds, quilts
  let words = null; // one folded text for each quilt
  let orders = {}; // quilt numbers by the name of an order
  let shown = AT_ONCE;
  let afterPaint = []; // what is left to draw
  const state = { find: "", sort: "newest", hang: "rows", bed: "", picked: new Map() };

  // ---- Loading -------------------------------------------------------------------------------

  const loading = {};

  function load(file, name, then) {
    if (self[name]) return then();
    if (loading[file]) return loading[file].push(then);
    loading[file] = [then];
    const script = document.createElement("script");
    script.src = `${root}wall/${file}`;
    script.onload = () => loading[file].forEach((each) => each());
    script.onerror = () => {
      status.textContent = "The list of quilts could not be loaded. The pages under Browse show them too.";
    };
    document.head.append(script);
  }

  function withData(then) {
    load("quilts.js", "wallQuilts", () => {
      if (!data) prepare(self.wallQuilts);
      if (state.find && !words) {
        load("words.js", "wallWords", () => {
          words = self.wallWords;
          then();
        });
      } else then();
    });
  }

  // A row as site_builder/pages/search_index.py writes it.
  function prepare(loaded) {
    data = loaded;
    data.quilts = data.quilts.map(([href, title, facts, picture, sides, dated, values]) => ({
      href, title, facts, picture, sides, dated, values,
    }));
    fillFacets();
    fillBeds();
  }

  // ---- Choosing ------------------------------------------------------------------------------

  const fold = (text) =>
    text
      .toLowerCase()
      .normalize("NFKD")
      .replace(/\p{M}/gu, "")
      .replace(/['’]/g, "")
      .replace(/[^\p{L}\p{N}]+/gu, " ")
      .trim();

  const terms = () => fold(state.find).split(" ").filter(Boolean).map((term) => ` ${term}`);

  function picks() {
    return data.facets.map((facet) => {
      const keys = state.picked.get(facet.kind);
      if (!keys || !keys.size) return null;
      const numbers = [];
      facet.values.forEach(([key], number) => keys.has(key) && numbers.push(number));
      return numbers;
    });
  }

  const fits = (own, wanted, narrows) =>
    !wanted || (narrows ? wanted.every((n) => own.includes(n)) : wanted.some((n) => own.includes(n)));

  /* The quilts that fit everything, and for each value of each facet how many would remain with it:
     for a facet that narrows, beside what is chosen there; for one that widens, in its place. */
  function choose(wanted, asked) {
    const matching = [];
    const counts = data.facets.map((facet) => new Int32Array(facet.values.length));
    const last = data.facets.length;
    for (let number = 0; number < data.quilts.length; number += 1) {
      if (asked.length && !asked.every((term) => words[number].includes(term))) continue;
      const { values } = data.quilts[number];
      let misses = 0;
      let missed = -1;
      for (let place = 0; place < last && misses < 2; place += 1) {
        if (!fits(values[place], wanted[place], data.facets[place].narrows)) {
          misses += 1;
          missed = place;
        }
      }
      if (misses === 0) {
        matching.push(number);
        for (let place = 0; place < last; place += 1) for (const value of values[place]) counts[place][value] += 1;
      } else if (misses === 1 && !data.facets[missed].narrows) {
        for (const value of values[missed]) counts[missed][value] += 1;
      }
    }
    return { matching, counts };
  }

  /* Newest first is the order of the data. Who searches by words most likely means a title. */
  function inOrder(matching) {
    const { quilts } = data;
    if (state.sort === "newest") {
      const asked = terms();
      const isTitled = (number) => asked.every((term) => ` ${fold(quilts[number].title)}`.includes(term));
      const titled = asked.length ? matching.filter(isTitled) : [];
      if (!titled.length) return matching;
      const first = new Set(titled);
      return [...titled, ...matching.filter((number) => !first.has(number))];
    }
    if (!orders[state.sort]) {
      const all = quilts.map((_, number) => number);
      const area = (number) => (quilts[number].sides[0] || 0) * (quilts[number].sides[1] || 0);
      const compare = {
        oldest: (a, b) => quilts[b].dated - quilts[a].dated || (quilts[a].dated ? b - a : a - b),
        largest: (a, b) => area(b) - area(a) || a - b,
        title: (a, b) => quilts[a].title.localeCompare(quilts[b].title) || a - b,
      }[state.sort];
      const rank = new Int32Array(quilts.length);
      all.sort(compare).forEach((number, place) => { rank[number] = place; });
      orders[state.sort] = rank;
    }
    const rank = orders[state.sort];
    return matching.slice().sort((a, b) => rank[a] - rank[b]);
  }

  // ---- Drawing -------------------------------------------------------------------------------

  const make = (name, properties = {}, ...children) => {
    const element = Object.assign(document.createElement(name), properties);
    element.append(...children);
    return element;
  };
  const drawn = (name, attributes, ...children) => {
    const element = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    element.append(...children);
    return element;
  };

  // The second frame begins when the first is painted. What a later key press has made stale is not drawn.
  function later(task) {
    if (!afterPaint.length) {
      const mine = afterPaint;
      const ifStillWanted = () => mine === afterPaint && drawTheRest();
      requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(ifStillWanted)));
    }
    afterPaint.push(task);
  }

  function drawTheRest() {
    const tasks = afterPaint;
    afterPaint = [];
    for (const task of tasks) task();
  }

  function photo(quilt) {
    const [alt, width, height, renditions] = quilt.picture;
    const image = make("img", { className: "picture", alt, decoding: "async", loading: "lazy" });
    image.width = width;
    image.height = height;
    image.sizes = "(max-width: 40rem) 55vw, 22rem";
    image.srcset = renditions.map(([file, wide]) => `${root}pictures/${file} ${wide}w`).join(", ");
    image.src = `${root}pictures/${renditions[0][0]}`;
    return image;
  }

  // The quilt alone, drawn flat from its photo, for most of those that are seen whole in it.
  function flattened(quilt) {
    const [alt, , , , file] = quilt.picture;
    if (!file) return null;
    return make("img", { className: "picture flattened", alt, decoding: "async", loading: "lazy", src: `${root}pictures/${file}` });
  }

  // In place of a photo: four patches in the quilt's colours.
  function standIn(quilt) {
    const [first = "#8b9299", second = "#d3d7da", third = first] = quilt.picture;
    const patch = (x, y, fill) => drawn("rect", { x, y, width: 12, height: 12, fill });
    return drawn(
      "svg",
      { class: "stand-in", viewBox: "0 0 24 24", width: 240, height: 240, role: "img", "aria-label": "No photo yet" },
      patch(0, 0, first), patch(12, 0, second), patch(0, 12, third), patch(12, 12, first),
    );
  }

  const hasPhoto = (quilt) => Array.isArray(quilt.picture[3]);

  function card(quilt) {
    const item = make(
      "li",
      { className: "quilt-card" },
      make(
        "a",
        { href: root + quilt.href },
        hasPhoto(quilt) ? photo(quilt) : standIn(quilt),
        make("span", { className: "title" }, quilt.title),
      ),
      ...quilt.facts.map((fact) => make("p", {}, fact)),
    );
    if (hasPhoto(quilt)) item.style.setProperty("--shape", (quilt.picture[1] / quilt.picture[2]).toFixed(2));
    return item;
  }

  function drawRows(numbers) {
    const list = make("ul", { className: "hang" });
    const more = make("button", { type: "button", className: "more" });
    const add = (from, to) => {
      const items = numbers.slice(from, to).map((number) => card(data.quilts[number]));
      list.append(...items);
      return items[0];
    };
    const sayMore = () => {
      const left = numbers.length - shown;
      more.hidden = left <= 0;
      more.textContent = `Show ${Math.min(AT_ONCE, left)} more`;
    };
    more.addEventListener("click", () => {
      drawTheRest();
      const first = add(shown, shown + AT_ONCE);
      shown += AT_ONCE;
      sayMore();
      first.querySelector("a").focus();
    });
    add(0, BEFORE_PAINT);
    if (numbers.length > BEFORE_PAINT) later(() => add(BEFORE_PAINT, shown));
    sayMore();
    found.replaceChildren(list, more);
  }

  // ---- To scale ------------------------------------------------------------------------------

  /* Every quilt in true proportion to the others, hung from lines; a rule in both units along the
     top, and the outline of a bed as the first thing on the wall. */
  const FITS = 130; // inches across a phone: most kings
  const LARGEST_SCALE = 4.5; // pixels to the inch

  function drawToScale(numbers) {
    const measured = numbers.filter((number) => data.quilts[number].sides.length);
    const room = Math.max(280, found.parentElement.clientWidth);
    const widest = Math.max(FITS, ...measured.map((number) => data.quilts[number].sides[0]));
    const perInch = Math.min(LARGEST_SCALE, room / widest);
    const bed = data.beds.find(([key]) => key === state.bed);
    const wall = make("ul", { className: "hang-to-scale" });
    if (bed) wall.append(bedOutline(bed, perInch));
    wall.append(...measured.slice(0, shown).map((number) => scaled(data.quilts[number], perInch)));
    const left = measured.length - shown;
    const parts = [rule(room, perInch), wall];
    if (left > 0) {
      const more = make("button", { type: "button", className: "more" }, `Show ${Math.min(AT_ONCE, left)} more`);
      more.addEventListener("click", () => {
        const first = shown;
        shown += AT_ONCE;
        drawToScale(numbers);
        found.querySelectorAll(".hang-to-scale a")[first].focus();
      });
      parts.push(more);
    }
    const without = numbers.length - measured.length;
    if (without) {
      const which = without === 1 ? "One quilt is not measured yet and does" : `${without} quilts are not measured yet and do`;
      parts.push(make("p", { className: "note" }, `${which} not hang here.`));
    }
    found.replaceChildren(...parts);
  }

  // As tape measures and rulers are read: eighths of an inch, half centimetres.
  function inInches(inches) {
    const eighths = Math.round(inches * 8);
    const whole = Math.floor(eighths / 8);
    let [part, of] = [eighths % 8, 8];
    while (part && part % 2 === 0) [part, of] = [part / 2, of / 2];
    return part ? `${whole || ""} ${part}/${of}`.trim() : `${whole}`;
  }
  const inCentimetres = (inches) => `${Math.round(inches * 5.08) / 2}`;

  function say(sides) {
    const own = data.units === "in" ? inInches : inCentimetres;
    return `${sides.map(own).join(" × ")} ${data.units}`.replaceAll(" ", "\u00a0");
  }

  function scaled(quilt, perInch) {
    const [width, length] = quilt.sides;
    const cloth = hasPhoto(quilt) ? flattened(quilt) || photo(quilt) : standIn(quilt);
    cloth.style.inlineSize = `${width * perInch}px`;
    cloth.style.blockSize = `${length * perInch}px`;
    if (cloth.srcset) cloth.sizes = `${Math.round(width * perInch)}px`;
    const title = make("span", { className: "title" }, quilt.title);
    const size = make("span", { className: "size" }, say(quilt.sides));
    const item = make("li", {}, make("a", { href: root + quilt.href }, cloth, title, size));
    item.style.inlineSize = `${width * perInch}px`;
    return item;
  }

  function bedOutline([, name, width, length], perInch) {
    const outline = drawn(
      "svg",
      { class: "bed-outline", width: width * perInch, height: length * perInch, "aria-hidden": "true" },
      drawn("rect", { x: 1, y: 1, width: width * perInch - 2, height: length * perInch - 2, class: "stitched" }),
    );
    const title = make("span", { className: "title" }, `Mattress: ${name}`);
    const item = make("li", { className: "bed-on-the-wall" }, outline, title, make("span", { className: "size" }, say([width, length])));
    item.style.inlineSize = `${width * perInch}px`;
    return item;
  }

  function rule(room, perInch) {
    const inches = Math.floor(room / perInch);
    const ticks = [];
    const close = perInch < 4; // too close for a figure at every mark
    const [everyInch, everyCm] = close ? [24, 100] : [24, 50];
    for (let at = 0; at <= inches; at += 6) {
      const x = at * perInch;
      ticks.push(drawn("line", { x1: x, x2: x, y1: at % 12 ? 18 : 14, y2: 24 }));
      if (at % everyInch === 0 && x < room - 40) ticks.push(drawn("text", { x: x + 3, y: 12 }, `${at} in`));
    }
    for (let at = 0; at <= inches * 2.54; at += 10) {
      const x = (at / 2.54) * perInch;
      ticks.push(drawn("line", { x1: x, x2: x, y1: 24, y2: at % 50 ? 30 : 34 }));
      if (at % everyCm === 0 && x < room - 50) ticks.push(drawn("text", { x: x + 3, y: 46 }, `${at} cm`));
    }
    ticks.push(drawn("line", { x1: 0, x2: room, y1: 24, y2: 24 }));
    const label = "A rule to the same scale, in inches and centimetres";
    return drawn("svg", { class: "rule", width: room, height: 50, role: "img", "aria-label": label }, ...ticks);
  }

  // ---- The tools -----------------------------------------------------------------------------

  function fillFacets() {
    for (const facet of data.facets) {
      facet.panel = form.querySelector(`details[data-kind="${facet.kind}"]`);
      if (!facet.panel) continue;
      facet.summary = facet.panel.querySelector("summary");
      const fieldset = facet.panel.querySelector("fieldset");
      const legend = fieldset.querySelector("legend");
      facet.boxes = facet.values.map(([key, label]) => {
        const input = make("input", { type: "checkbox", name: facet.kind, value: key });
        const count = make("span", { className: "count" });
        return { key, label, input, count, row: make("label", {}, input, ` ${label} `, count) };
      });
      fieldset.replaceChildren(legend, ...facet.boxes.map(({ row }) => row));
    }
  }

  function fillBeds() {
    const select = form.elements.bed;
    select.replaceChildren(
      make("option", { value: "" }, "no bed"),
      ...data.beds.map(([key, name]) => make("option", { value: key }, name)),
    );
  }

  function showCounts(counts) {
    data.facets.forEach((facet, place) => {
      if (!facet.panel) return;
      const keys = state.picked.get(facet.kind);
      const heading = keys?.size ? `${facet.heading} (${keys.size})` : facet.heading;
      if (facet.summary.textContent !== heading) facet.summary.textContent = heading;
      const tell = () => facet.boxes.forEach(({ key, input, count, row }, number) => {
        count.textContent = counts[place][number];
        input.checked = Boolean(keys?.has(key));
        row.classList.toggle("none", counts[place][number] === 0 && !input.checked);
      });
      if (facet.panel.open) tell();
      else later(tell);
    });
  }

  // What is chosen, each with a button that takes it off.
  function choices() {
    const all = [];
    if (state.find) all.push({ label: `“${state.find}”`, drop: () => { state.find = ""; form.elements.find.value = ""; } });
    for (const facet of data.facets) {
      for (const key of state.picked.get(facet.kind) || []) {
        const label = facet.values.find(([each]) => each === key)?.[1];
        if (label) all.push({ label, drop: () => state.picked.get(facet.kind).delete(key) });
      }
    }
    return all;
  }

  function dropButton({ label, drop }, text) {
    const button = make("button", { type: "button" }, text || `${label} ×`);
    if (!text) button.setAttribute("aria-label", `Take off ${label}`);
    button.addEventListener("click", () => {
      drop();
      changed();
      (chosen.querySelector("button") || form.elements.find).focus();
    });
    return button;
  }

  const isPlain = () =>
    !state.find && state.sort === "newest" && state.hang === "rows" && ![...state.picked.values()].some((keys) => keys.size);

  // Which single choice to drop, and what that would show.
  function waysOut(all) {
    const kept = { find: state.find, picked: state.picked };
    const ways = all.map((choice) => {
      state.picked = new Map([...kept.picked].map(([kind, keys]) => [kind, new Set(keys)]));
      choice.drop();
      const count = choose(picks(), terms()).matching.length;
      state.find = kept.find;
      state.picked = kept.picked;
      form.elements.find.value = kept.find;
      return { choice, count };
    });
    return ways.filter(({ count }) => count > 0).sort((a, b) => b.count - a.count);
  }

  function nothing(all) {
    const ways = waysOut(all);
    const list = make("ul", { className: "ways-out" }, ...ways.map(({ choice, count }) => {
      const quilts = count === 1 ? "1 quilt" : `${count} quilts`;
      return make("li", {}, dropButton(choice, `Without ${choice.label}: ${quilts}`));
    }));
    status.textContent = all.length > 1 ? "Nothing matches all of this." : "Nothing matches this.";
    found.replaceChildren(ways.length ? list : make("p", {}, "No single one of these is in the way: take off two."));
    if (all.length < 2) found.replaceChildren();
  }

  function show() {
    afterPaint = [];
    form.elements.bed.closest("label").hidden = state.hang !== "scale";
    const plain = isPlain();
    for (const part of sheet) part.hidden = !plain;
    found.hidden = plain;
    const { matching, counts } = choose(picks(), terms());
    showCounts(counts);
    const all = choices();
    chosen.replaceChildren(...all.map((choice) => dropButton(choice)));
    status.textContent = all.length ? (matching.length === 1 ? "1 quilt" : `${matching.length} quilts`) : "";
    allOff.hidden = !all.length;
    if (plain) found.replaceChildren();
    else if (!matching.length) nothing(all);
    else (state.hang === "scale" ? drawToScale : drawRows)(inOrder(matching));
  }

  function changed() {
    shown = AT_ONCE;
    writeAddress();
    withData(show);
  }

  // ---- The address ---------------------------------------------------------------------------

  function writeAddress() {
    const parts = new URLSearchParams();
    if (state.find) parts.set("find", state.find);
    for (const [kind, keys] of state.picked) if (keys.size) parts.set(kind, [...keys].join(","));
    if (state.sort !== "newest") parts.set("sort", state.sort);
    if (state.hang !== "rows") parts.set("hang", state.hang);
    if (state.hang !== "rows" && state.bed) parts.set("bed", state.bed);
    const text = parts.toString();
    history.replaceState(null, "", text ? `#${text}` : location.pathname.split("/").pop() + location.search);
  }

  function readAddress() {
    const parts = new URLSearchParams(location.hash.slice(1));
    const known = (select, value, otherwise) => ([...select.options].some((o) => o.value === value) ? value : otherwise);
    state.find = parts.get("find") || "";
    state.sort = known(form.elements.sort, parts.get("sort"), "newest");
    state.hang = known(form.elements.hang, parts.get("hang"), "rows");
    state.bed = parts.get("bed") || "";
    state.picked = new Map();
    for (const box of form.querySelectorAll("details[data-kind]")) {
      const { kind } = box.dataset;
      if (parts.get(kind)) state.picked.set(kind, new Set(parts.get(kind).split(",")));
    }
    form.elements.find.value = state.find;
    form.elements.sort.value = state.sort;
    form.elements.hang.value = state.hang;
  }

  // ---- Listening -----------------------------------------------------------------------------

  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("input", (event) => {
    const { name, value, type } = event.target;
    if (type === "checkbox") {
      const keys = state.picked.get(name) || new Set();
      if (event.target.checked) keys.add(value);
      else keys.delete(value);
      state.picked.set(name, keys);
    } else if (name in state) state[name] = value;
    changed();
  });
  allOff.addEventListener("click", () => {
    state.find = form.elements.find.value = "";
    state.picked.clear();
    changed();
    form.elements.find.focus();
  });
  const prefetch = () => withData(() => { if (isPlain()) show(); });
  form.addEventListener("focusin", prefetch, { once: true });
  form.addEventListener("pointerenter", prefetch, { once: true });

  // One panel at a time, closed by Escape or a click elsewhere.
  const panels = [...form.querySelectorAll("details.facet")];
  for (const panel of panels) {
    panel.addEventListener("toggle", () => {
      if (panel.open) for (const other of panels) if (other !== panel) other.open = false;
    });
    panel.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && panel.open) {
        panel.open = false;
        panel.querySelector("summary").focus();
      }
    });
  }
  document.addEventListener("click", (event) => {
    for (const panel of panels) if (panel.open && !panel.contains(event.target)) panel.open = false;
  });

  let width = innerWidth;
  addEventListener("resize", () => {
    if (innerWidth === width || state.hang !== "scale") return;
    width = innerWidth;
    withData(show);
  });
  addEventListener("hashchange", () => {
    readAddress();
    withData(show);
  });
  readAddress();
  if (!isPlain()) {
    withData(() => {
      form.elements.bed.value = state.bed;
      show();
    });
  }
})();
