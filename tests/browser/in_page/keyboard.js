// What the Tab key has to reach, and what is wrong with how each place shows when it is reached.
(() => {
  const REACHABLE = "a[href], button, input, select, textarea, summary, [tabindex], [contenteditable]";
  const told = element => element.outerHTML.slice(0, 120).replace(/\s+/g, " ");

  // The arrow keys, not Tab, go through the choices of one group.
  const place = element => element.type === "radio" ? `the choices of ${element.name}` : element;
  const left = new Set(
    [...document.querySelectorAll(REACHABLE)]
      .filter(element => !element.disabled && element.tabIndex >= 0 && element.type !== "hidden")
      .filter(element => element.checkVisibility({visibilityProperty: true}))
      .map(place));
  const faults = [];

  const covering = (element, x, y) => {
    const over = document.elementFromPoint(x, y);
    const same = !over || element.contains(over) || over.contains(element) || over.closest("label");
    return same ? null : over;
  };

  const look = element => {
    const style = getComputedStyle(element);
    const outlined = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
    if (!outlined && style.boxShadow === "none") faults.push(`no ring around ${told(element)}`);

    const box = element.getClientRects()[0] ?? element.getBoundingClientRect();
    const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
    if (box.width < 2 || box.height < 2) return faults.push(`too small to see: ${told(element)}`);
    if (x < 0 || y < 0 || x > innerWidth || y > innerHeight)
      return faults.push(`out of sight: ${told(element)}`);
    const over = covering(element, x, y);
    if (over) faults.push(`${told(over)} lies over ${told(element)}`);
  };

  // When a key comes up, what it did has been done: the focus is there, and the page scrolled to it.
  addEventListener("keyup", () => {
    const element = document.activeElement;
    if (element && element !== document.body && left.delete(place(element))) look(element);
  }, true);

  document.activeElement?.blur();
  getSelection()?.removeAllRanges();
  scrollTo(0, 0);

  window.keyboard = {
    places: left.size,
    faults() {
      const missed = [...left].map(found => found.outerHTML ? told(found) : found);
      return [...faults, ...missed.map(found => `never reached: ${found}`)];
    },
  };
})();
