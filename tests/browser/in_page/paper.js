// What a printed sheet would lose, waste or print too pale.
() => {
  const faults = [];
  const told = element => element.outerHTML.slice(0, 120).replace(/\s+/g, " ");
  const shown = element => element.checkVisibility({visibilityProperty: true});

  const room = document.documentElement.clientWidth;
  const width = document.documentElement.scrollWidth;
  if (width > room) faults.push(`${width} px wide on a sheet of ${room} px`);

  const main = document.querySelector("main");
  if (!main || !shown(main) || main.innerText.trim() === "")
    return [...faults, "nothing is printed"];
  if (!shown(document.querySelector("h1"))) faults.push("the sheet has no title");
  for (const element of document.querySelectorAll("nav, button, input, select, textarea"))
    if (shown(element)) faults.push(`of no use on paper: ${told(element)}`);

  // 1 for black, 0 for white or transparent.
  const ink = colour => {
    const [red, green, blue, alpha = 1] = colour.match(/[\d.]+/g).map(Number);
    return alpha * (1 - (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255);
  };
  const writes = element => [...element.childNodes].some(
    node => node.nodeType === Node.TEXT_NODE && node.textContent.trim() !== "");
  const cut = (element, style) => (style.overflowX !== "visible" || style.overflowY !== "visible")
    && (element.scrollWidth > element.clientWidth + 1
        || element.scrollHeight > element.clientHeight + 1);

  for (const element of document.body.querySelectorAll("*")) {
    if (!shown(element) || element.closest("svg")) continue;
    const style = getComputedStyle(element);
    if (["fixed", "sticky"].includes(style.position))
      faults.push(`repeats on each sheet: ${told(element)}`);
    const box = element.getBoundingClientRect();
    if (box.width <= 1 || box.height <= 1) continue;  // for screen readers
    if (writes(element) && ink(style.color) < 0.45)
      faults.push(`too pale on paper (${style.color}): ${told(element)}`);
    if (element.tagName !== "IMG" && cut(element, style))
      faults.push(`cut off on paper: ${told(element)}`);
  }
  return faults;
}
