"""The app's pages and widgets. They ask ``work`` and show; they compute nothing."""
