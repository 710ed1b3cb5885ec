"""What goes in and comes out of ``lab.recipes``."""

from stainbook.work.lab.done_before import DoneBefore as DoneBefore
from stainbook.work.lab.done_before import SoughtZone as SoughtZone
from stainbook.work.lab.recipe_life import Moment as Moment
from stainbook.work.lab.recipe_life import Pair as Pair
from stainbook.work.lab.recipe_views import CONDITIONS as CONDITIONS
from stainbook.work.lab.recipe_views import LookedFor as LookedFor
from stainbook.work.lab.recipe_views import RecipeOrOutcome as RecipeOrOutcome
