"""An open shop on each engine in turn."""

from tests.services.floors import clock as clock
from tests.services.floors import desk as desk
from tests.services.floors import floor as floor
from tests.services.floors import one_desk as one_desk
from tests.services.floors import one_floor as one_floor
from tests.services.floors import postgresql_ground as postgresql_ground
from tests.services.floors import sqlite_ground as sqlite_ground
