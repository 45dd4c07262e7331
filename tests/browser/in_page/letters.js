// Sets the whole page in one font, whose bytes are given in base64, and changes its size on demand.
([first, sizes, bytes]) => {
  const sheet = new CSSStyleSheet();
  document.adoptedStyleSheets.push(sheet);
  const faces = {};
  window.letters = {
    changeTo(name) {
      if (!(name in faces)) {
        faces[name] = new FontFace(
          name, Uint8Array.from(atob(bytes), letter => letter.charCodeAt(0)),
          {weight: "100 900", sizeAdjust: sizes[name]});
        document.fonts.add(faces[name]);
      }
      sheet.replaceSync(`*, ::before, ::after { font-family: "${name}" !important }`);
      this.loaded = faces[name].load().then(() => name);
    },
  };
  window.letters.changeTo(first);
}
