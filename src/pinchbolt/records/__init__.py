"""The database: models, migrations and short questions about them. No computation beyond adding up."""
