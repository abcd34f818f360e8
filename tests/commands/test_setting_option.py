"""Options that stand for keys of property.toml take what the file takes."""

import click

from quietacre.commands._setting_option import setting_option
from quietacre.settings import Equipment, Mix, Product, Seed, StripSettings


def told(decorator):
    """Return the option that a decorator adds."""

    @decorator
    def command():
        pass

    return command.__click_params__[0]


def test_the_range_the_usual_value_and_the_words_are_those_of_the_key():
    pace = told(setting_option(Equipment, "field_efficiency"))
    assert pace.opts == ["--field-efficiency"]
    assert pace.default == Equipment().field_efficiency
    assert pace.show_default
    assert (pace.type.min, pace.type.min_open, pace.type.max) == (0.0, True, 1.0)
    assert pace.help.startswith("Field efficiency")
    days = told(setting_option(StripSettings, "slip_days", help="How late."))
    assert isinstance(days.type, click.IntRange)
    assert (days.type.min, days.type.max, days.help) == (0, 1000, "How late.")
    blank = told(setting_option(Seed, "purity", "--pure"))
    assert (blank.opts, blank.show_default, blank.type.max) == (["--pure"], None, 1.0)
    way = told(setting_option(Mix, "method"))
    assert tuple(way.type.choices) == ("broadcast", "drill")
    needed = told(setting_option(Equipment, "mower_mph", required=True))
    assert needed.required
    assert not needed.show_default
    assert told(setting_option(Product, "bag_lb", default=50.0)).default == 50.0
