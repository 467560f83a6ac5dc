"""How does somebody walk through the site in a browser?"""

from urllib.parse import urlsplit

from django.conf import settings
from django.test import Client
from playwright.sync_api import Error

from tests.training.factories import PASSWORD


class Walker:
    """A browser window in one person's hands. It notes every console message, in which the browser
    tells of each failed answer, and every request to elsewhere, which fails. To hear of each answer
    that is as it should be took a twentieth of the time.
    """

    def __init__(self, context, url):
        self.context, self.url = context, url
        self.complaints: list[str] = []
        self.expected: set[int] = set()
        self._page, self.is_at_the_door = self.watched(context.new_page()), False
        self._page.set_default_timeout(10_000)

    def watched(self, page):
        page.on("console", self._note_console)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("requestfailed", self._note_failed)
        return page

    def _note_console(self, message):
        text = message.text
        refused = "Failed to load resource" in text and any(
            str(status) in text for status in self.expected
        )
        # somebody typed before the browser had put the focus there
        quicker = text.startswith("Autofocus processing was blocked")
        # what the test itself asked of the browser
        without_worker = text == "Service Worker registration blocked by Playwright"
        if not (refused or quicker or without_worker):
            self.complaints.append(f"{text} {message.location['url']}")

    def _note_failed(self, request):
        if not request.url.startswith(self.url):
            self.complaints.append(f"a request left the site: {request.url}")

    @property
    def page(self):
        """What is before one's eyes; for whoever has only entered, the first page."""
        if self.is_at_the_door:
            self.go("/")
        return self._page

    @page.setter
    def page(self, page):
        self._page = page

    def go(self, path, expect=200):
        self.is_at_the_door = False
        if expect >= 400:
            self.expected.add(expect)
        answer = self.page.goto(self.url + path)
        assert answer.status == expect, (path, answer.status)
        return self

    def enter(self, person):
        """Signed in without the sign-in page, at which journeys of its own look."""
        entered = Client()
        entered.force_login(person, backend="training.access.sign_in.ShopBackend")
        cookie = entered.cookies[settings.SESSION_COOKIE_NAME]
        self.context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": self.url}])
        self.is_at_the_door = True
        return self

    def sign_in(self, person, password=PASSWORD):
        self.go("/sign-in/")
        self.page.fill("[name=username]", person.login)
        self.page.fill("[name=password]", password)
        return self.press("Sign in")

    @property
    def path(self):
        return urlsplit(self.page.url).path

    @property
    def text(self):
        """What stands on the page. The browser itself is asked, and not the helper that the driver
        puts into a page where something is pressed, which takes half as long as the page.
        """
        try:
            return self.page.evaluate("document.querySelector('main').innerText")
        except Error:  # no page is there, or it has just gone
            return self.page.inner_text("main")

    def click(self, name, role="link", **more):
        self.page.get_by_role(role, name=name, **more).first.click()
        # a page that has only begun to arrive has neither all its words nor its lines
        self.page.wait_for_load_state()
        return self

    def press(self, name):
        return self.click(name, "button")

    def next(self):
        """Press Next in a quiz, and wait for the page after it: it may wait for what was chosen."""
        with self.page.expect_navigation():
            self.page.get_by_role("button", name="Next", exact=True).click()
        return self

    def has(self, role, name):
        return self.page.get_by_role(role, name=name).count() > 0

    def sign(self, button, password=PASSWORD):
        self.page.fill("[name=password]", password)
        return self.press(button)

    def sees(self, *parts):
        for part in parts:
            # A press may return before the page that it asked for begins to arrive.
            for _ in range(50):
                if part in self.text:
                    break
                self.page.wait_for_timeout(100)
            assert part in self.text, f"'{part}' is not on {self.path}:\n{self.text[:1500]}"
        return self
