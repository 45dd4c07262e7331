// Whether the page scrolls sideways at the width that it has now, and what makes it so wide.
() => {
  const room = document.documentElement.clientWidth;
  const width = document.documentElement.scrollWidth;
  if (width <= room) return [];

  const scrolledByItself = element => {
    for (let parent = element.parentElement; parent !== document.body; parent = parent.parentElement)
      if (getComputedStyle(parent).overflowX !== "visible") return true;
    return false;
  };
  const wide = [...document.body.querySelectorAll("*")].filter(
    element => element.getBoundingClientRect().right > room + 0.5 && !scrolledByItself(element));
  return [`the page is ${width} px wide on a screen of ${room} px`,
          ...wide.slice(0, 5).map(element => element.outerHTML.slice(0, 120))];
}
