// Words that go on in the next line without a hyphen: their column is too narrow for them.
() => {
  const faults = new Set();
  const range = document.createRange();
  const nodes = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (nodes.nextNode()) {
    const node = nodes.currentNode, element = node.parentElement, style = getComputedStyle(element);
    if (!element.checkVisibility({visibilityProperty: true}) || element.closest("svg, select")) continue;
    if (style.clipPath !== "none" || style.hyphens === "auto") continue;  // for screen readers; meant to break
    // Not what no-break spaces hold together, such as a size, nor addresses: those are long in any letters.
    for (const word of node.textContent.matchAll(/(?<!\u00a0)(?<!\S)[\p{L}\p{N}\p{Sc}.,:]+(?!\S)(?!\u00a0)/gu)) {
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const lines = new Set([...range.getClientRects()].map(line => Math.round(line.top)));
      if (lines.size > 1)
        faults.add(`"${word[0]}" is broken: ${element.parentElement.outerHTML.slice(0, 120).replace(/\s+/g, " ")}`);
    }
  }
  return [...faults];
}
