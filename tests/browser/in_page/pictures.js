// The pictures that don't load, those further down the page included.
async () => {
  const faults = [];
  const pictures = [...document.images].filter(picture => picture.hasAttribute("src"));
  for (const picture of pictures) picture.loading = "eager";
  await Promise.all(pictures.map(
    picture => picture.decode().catch(() => faults.push(picture.outerHTML.slice(0, 160)))));
  return faults;
}
