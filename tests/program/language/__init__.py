"""The languages of pages, mails and papers, and their catalogs."""
