"""Help in place: every page has its topics, each with a drawing of its own, unfolded when asked for."""

import pytest

from stainbook.pages.shell import help_texts as words
from stainbook.pages.shell import texts
from stainbook.pages.widgets.help_drawings import help_markup
from tests.pages.driving import markup


def test_every_page_has_topics_and_every_topic_a_page():
    assert words.PAGES.keys() == texts.PAGES.keys()
    assert {topic for topics in words.PAGES.values() for topic in topics} == words.TOPICS.keys()


@pytest.mark.parametrize("topic", words.TOPICS)
def test_each_topic_is_drawn_with_words_that_stay_inside(topic):
    drawn = help_markup({topic: words.TOPICS[topic]})
    assert drawn.count("<svg") == 1
    assert words.TOPICS[topic][0].replace("'", "&#x27;") in drawn
    assert "http" not in drawn


def test_it_is_drawn_when_it_is_unfolded(open_page):
    page = open_page("exchange")
    assert words.HOW in [one.label for one in page.expander]
    with pytest.raises(StopIteration):
        markup(page, "help_exchange")
    page.session_state["help exchange"] = True
    page.run()
    assert "Handing on" in markup(page, "help_exchange")
