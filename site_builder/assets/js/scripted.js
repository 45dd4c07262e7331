/* Before anything is drawn: scripts run here, so what needs them may take its place. */
document.documentElement.classList.add("scripted");
