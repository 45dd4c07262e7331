// Words that leave the box that holds them sideways, and so may lie over what stands beside it.
() => {
  const faults = [];
  const told = element => element.outerHTML.slice(0, 120).replace(/\s+/g, " ");
  const holder = element => {
    while (["inline", "contents"].includes(getComputedStyle(element).display)) element = element.parentElement;
    return element;
  };
  const scrolls = element => {
    for (; element; element = element.parentElement)
      if (getComputedStyle(element).overflowX !== "visible") return true;
    return false;
  };
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (words.nextNode()) {
    const node = words.currentNode, element = node.parentElement;
    if (node.textContent.trim() === "" || element.closest("svg, script, select, .spoken")) continue;
    if (!element.checkVisibility({visibilityProperty: true})) continue;
    const box = holder(element);
    if (scrolls(box)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const room = box.getBoundingClientRect();
    for (const line of range.getClientRects())
      if (line.right > room.right + 1 || line.left < room.left - 1) {
        faults.push(`"${node.textContent.trim().slice(0, 40)}" is ${Math.round(line.right - room.right)} px beyond ${told(box)}`);
        break;
      }
  }
  return faults;
}
