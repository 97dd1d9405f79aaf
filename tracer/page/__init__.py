"""The board's page: one offline HTML file for the tablet on the bench."""
