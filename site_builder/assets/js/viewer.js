/* Shows a page's pictures large, one after another. Without this script each picture is a plain
   link to its largest rendition. Arrow keys, Home and End turn; Escape closes; focus goes back to
   the picture that was opened. */

(() => {
  "use strict";

  const room = document.querySelector("[data-viewer]");
  const links = room ? [...room.querySelectorAll("a.larger")] : [];
  if (!links.length || typeof HTMLDialogElement === "undefined") return;

  const make = (name, properties, ...children) => {
    const element = Object.assign(document.createElement(name), properties);
    element.append(...children);
    return element;
  };
  const button = (text, action) => {
    const element = make("button", { type: "button" }, text);
    element.addEventListener("click", action);
    return element;
  };

  const picture = make("img", { decoding: "async" });
  const caption = make("figcaption", {});
  const count = make("p", { className: "viewer-count" });
  count.setAttribute("role", "status");
  const turning = make(
    "div",
    { className: "viewer-turning", hidden: links.length < 2 },
    button("Previous", () => show(shown - 1)),
    button("Next", () => show(shown + 1)),
  );
  const dialog = make(
    "dialog",
    { className: "viewer" },
    make("div", { className: "viewer-bar" }, count, turning, button("Close", () => dialog.close())),
    make("figure", {}, picture, caption),
  );
  dialog.setAttribute("aria-label", "Pictures, large");

  let shown = 0;
  let opener = null;

  function show(index) {
    shown = (index + links.length) % links.length;
    const link = links[shown];
    const small = link.querySelector("img");
    const words = link.parentElement.querySelector("figcaption, p");
    for (const side of ["width", "height"]) picture.setAttribute(side, small.getAttribute(side));
    picture.alt = small.alt;
    picture.src = link.href;
    caption.textContent = words ? words.textContent : "";
    count.textContent = `Picture ${shown + 1} of ${links.length}`;
  }

  const keys = {
    ArrowLeft: () => show(shown - 1),
    ArrowRight: () => show(shown + 1),
    Home: () => show(0),
    End: () => show(links.length - 1),
  };

  dialog.addEventListener("keydown", (event) => {
    const turn = keys[event.key];
    if (!turn || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    turn();
  });
  dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close();
  });
  dialog.addEventListener("close", () => {
    document.documentElement.classList.remove("viewing");
    if (opener) opener.focus();
  });

  links.forEach((link, index) => {
    link.addEventListener("click", (event) => {
      if (event.button || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      opener = link;
      show(index);
      document.documentElement.classList.add("viewing");
      dialog.showModal();
    });
  });

  document.body.append(dialog);
})();
