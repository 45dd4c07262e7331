"""What is wrong with a page as a person meets it: seen, reached by keyboard, on a phone, on paper."""
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def axe_violations(page: Page) -> list[str]:
    """What the axe rules find, the size of what is touched and best practice included."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": AXE_TAGS}})
    return [
        f"{violation['id']}: {violation['help']}: {node['html'][:200]} {node.get('failureSummary', '')}"
        for violation in found.response["violations"] for node in violation["nodes"]
    ]


def sideways_scroll(page: Page) -> list[str]:
    """The elements because of which a page scrolls sideways at the width that it has now."""
    return page.evaluate("""() => {
      const room = document.documentElement.clientWidth;
      if (document.documentElement.scrollWidth <= room) return [];
      const scrolled = element => {
        for (let parent = element.parentElement; parent && parent !== document.body; parent = parent.parentElement)
          if (getComputedStyle(parent).overflowX !== 'visible') return true;
        return false;
      };
      const wide = [...document.body.querySelectorAll('*')].filter(
        element => element.getBoundingClientRect().right > room + 0.5 && !scrolled(element));
      return [`the page is ${document.documentElement.scrollWidth} px wide on a screen of ${room} px`,
              ...wide.slice(0, 5).map(element => element.outerHTML.slice(0, 120))];
    }""")


def pictures_not_shown(page: Page) -> list[str]:
    """Pictures that don't load, those further down the page included."""
    return page.evaluate("""async () => {
      const faults = [];
      for (const picture of document.images) picture.loading = 'eager';
      await Promise.all([...document.images].map(async picture => {
        try { await picture.decode(); } catch (problem) { faults.push(picture.outerHTML.slice(0, 160)); }
      }));
      return faults;
    }""")


_TABBABLE = """
  const tabbable = () => {
    const groups = new Set();
    return [...document.querySelectorAll(
      'a[href], button, input, select, textarea, summary, [tabindex], [contenteditable]')].filter(element => {
        if (element.disabled || element.tabIndex < 0 || element.type === 'hidden') return false;
        if (!element.checkVisibility({visibilityProperty: true})) return false;
        if (element.type === 'radio') {
          const group = [element.form, element.name].join();
          if (groups.has(group)) return false;
          groups.add(group);
        }
        return true;
      });
  };
  const known = element => element.type === 'radio' ? `radio ${element.name}` : element;
  const told = element => element.outerHTML.slice(0, 120).replace(/\\s+/g, ' ');
"""


def keyboard_faults(page: Page) -> list[str]:
    """What the Tab key does not reach, or reaches without its being seen.

    A ring (outline or shadow) has to show around what has the focus, and nothing may lie over it.
    """
    count = page.evaluate(f"""() => {{
      {_TABBABLE}
      window.keyboard = {{left: new Set(tabbable().map(known)), faults: []}};
      document.activeElement?.blur();
      getSelection()?.removeAllRanges();
      scrollTo(0, 0);
      return window.keyboard.left.size;
    }}""")
    for _ in range(count + 2):
        page.keyboard.press("Tab")
        page.evaluate(f"""() => {{
          {_TABBABLE}
          const element = document.activeElement, {{left, faults}} = window.keyboard;
          if (!element || element === document.body || !left.delete(known(element))) return;
          const box = element.getClientRects()[0] ?? element.getBoundingClientRect();
          const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
          const style = getComputedStyle(element);
          const ring = (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2)
            || style.boxShadow !== 'none';
          if (!ring) faults.push(`no ring around ${{told(element)}}`);
          if (box.width < 2 || box.height < 2) faults.push(`too small to see: ${{told(element)}}`);
          else if (x < 0 || y < 0 || x > innerWidth || y > innerHeight)
            faults.push(`out of sight: ${{told(element)}}`);
          else {{
            const over = document.elementFromPoint(x, y);
            if (over && !element.contains(over) && !over.contains(element) && !over.closest('label'))
              faults.push(`${{told(over)}} lies over ${{told(element)}}`);
          }}
        }}""")
    return page.evaluate(f"""() => {{
      {_TABBABLE}
      const {{left, faults}} = window.keyboard;
      return [...faults, ...[...left].map(
        element => `never reached: ${{element.outerHTML ? told(element) : element}}`)];
    }}""")


def print_faults(page: Page) -> list[str]:
    """What a printed sheet would lose, waste or print too pale; the page has to be of a sheet's width."""
    page.emulate_media(media="print")
    return page.evaluate("""() => {
      const faults = [];
      const told = element => element.outerHTML.slice(0, 120).replace(/\\s+/g, ' ');
      const shown = element => element.checkVisibility({visibilityProperty: true});
      const room = document.documentElement.clientWidth;
      if (document.documentElement.scrollWidth > room)
        faults.push(`${document.documentElement.scrollWidth} px wide on a sheet of ${room} px`);
      for (const element of document.querySelectorAll('nav, button, input, select, textarea'))
        if (shown(element)) faults.push(`of no use on paper: ${told(element)}`);
      const main = document.querySelector('main');
      if (!main || !shown(main) || main.innerText.trim() === '') return [...faults, 'nothing is printed'];
      if (!shown(document.querySelector('h1'))) faults.push('the sheet has no title');
      const ink = colour => {
        const [red, green, blue, alpha = 1] = colour.match(/[\\d.]+/g).map(Number);
        return alpha * (1 - (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255);
      };
      for (const element of document.body.querySelectorAll('*')) {
        if (!shown(element)) continue;
        const style = getComputedStyle(element);
        const box = element.getBoundingClientRect();
        const spoken = box.width <= 1 || box.height <= 1;
        const writes = [...element.childNodes].some(
          node => node.nodeType === Node.TEXT_NODE && node.textContent.trim() !== '');
        if (writes && !spoken && !element.closest('svg') && ink(style.color) < 0.45)
          faults.push(`too pale on paper (${style.color}): ${told(element)}`);
        if (!spoken && !element.closest('svg') && element.tagName !== 'IMG'
            && [style.overflowX, style.overflowY].some(overflow => overflow !== 'visible')
            && (element.scrollWidth > element.clientWidth + 1 || element.scrollHeight > element.clientHeight + 1))
          faults.push(`cut off on paper: ${told(element)}`);
        if (['fixed', 'sticky'].includes(style.position)) faults.push(`repeats on each sheet: ${told(element)}`);
      }
      return faults;
    }""")
