// Marks of lists that lie on the border of a box, or beyond the edge of the screen.
() => {
  const faults = [];
  for (const item of document.querySelectorAll("li")) {
    const style = getComputedStyle(item);
    if (style.display !== "list-item" || style.listStyleType === "none" || style.listStylePosition === "inside") continue;
    if (!item.checkVisibility({visibilityProperty: true}) || item.closest(".spoken")) continue;
    let box = item.parentElement;
    while (box && getComputedStyle(box).borderLeftStyle === "none") box = box.parentElement;
    if (!box && matchMedia("print").matches) continue;  // the margin of the sheet is room enough
    const room = item.getBoundingClientRect().left - (box ? box.getBoundingClientRect().left : 0);
    if (room < 1.3 * parseFloat(style.fontSize))
      faults.push(`no room for the mark of "${item.textContent.trim().slice(0, 40)}"`);
  }
  return faults;
}
