"""Everything that sets up, builds, serves and tests the handbook. Start with serve.py or test.py."""
