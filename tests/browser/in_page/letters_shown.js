// The name of the font that the page was given, once it is loaded and the page is laid out in it.
async () => {
  const name = await window.letters?.loaded;
  await document.fonts.ready;
  return name && getComputedStyle(document.body).fontFamily.includes(name) ? name : null;
}
