// Whoever comes to the sign-in page of their own accord has signed out: nothing of theirs stays in this browser, but
// a job that was not sent yet. With a page to go on to, only the session had ended, and the place is still wanted.
if (!document.querySelector("form[data-next]")) {
  for (const key of Object.keys(localStorage)) if (/^(bench-place:|kept-form:|bench-seen$)/.test(key)) localStorage.removeItem(key);
  if ("caches" in window) {
    for (const name of await caches.keys()) if (name.startsWith("bench-")) await caches.delete(name);
  }
}
