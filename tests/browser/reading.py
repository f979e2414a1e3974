"""What a reader finds on the page of a plan, for tests in any engine."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

from tests.browser.phones import Phone, is_seen

# The parts of a plan that nothing may take from its reader.
PLAN = """({
  code: document.querySelector('.code').textContent.replace(/\\D/g, ''),
  language: document.documentElement.lang,
  hours: Array.from(document.querySelectorAll('.steps .hour'), (hour) => hour.textContent),
  steps: Array.from(document.querySelectorAll('.steps h4'), (step) => step.textContent),
  headings: Array.from(document.querySelectorAll('main section > h2'), (heading) => heading.textContent),
  number: document.querySelector('#bar-phone').textContent
})"""


def plan_on(phone: Phone) -> Any:
    """The plan that is shown, once it is there to its end."""
    return phone.until(f"document.readyState === 'complete' && {is_seen('.steps h4')} && {PLAN}")


def opened(phone: Phone, link: str, state: str = "saved") -> Any:
    """The plan at a link, once its page has told that state of it."""
    phone.open(link)
    tells(phone, state)
    return plan_on(phone)


def tells(phone: Phone, state: str) -> None:
    """Waits for the line that says whether the plan is kept."""
    phone.until(f"{is_seen(f'#saved[data-state={state}]')} && {is_seen(f'[data-when={state}]')}")


def is_styled(phone: Phone) -> bool:
    """Whether the style sheet is in force: the page's paper is #fbfaf4."""
    colour = phone.value("getComputedStyle(document.documentElement).backgroundColor")
    return bool(colour == "rgb(251, 250, 244)")


def answered(page: Page) -> Page:
    """The page once its reader has said that the appointment is theirs, and that nothing keeps them from starting."""
    for button in ("#first-yes", "#start-none"):
        if page.locator(button).is_visible():
            page.locator(button).click()
    return page


def laid_out(page: Page) -> Page:
    """The page once all of it is laid out, a second after loading; until then what is below has neither words nor
    places of its own to a test."""
    page.evaluate("Promise.all(document.getAnimations().map((one) => one.finished)).then(() => true)")
    return page


def put_away(page: Page) -> None:
    """Closes a window as its reader does: what it keeps is with the browser before its process may end."""
    with page.expect_event("close"):
        page.close(run_before_unload=True)
