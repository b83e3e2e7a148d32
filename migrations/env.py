"""Run the versions on the connection that the program hands over, inside its open transaction."""

from alembic import context
from sqlalchemy import MetaData

# Names of constraints as the tables have them, so that a version file need not spell each one.
NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=MetaData(naming_convention=NAMING),
)
with context.begin_transaction():
    context.run_migrations()
