"""The conversation at the terminal: few questions in the order that matters, an answer any time.

The state of a session and what each answer does to it are pure (`state`, `told_case`,
`belief_state`, `expected_information`, `replies`); `journal` keeps it on disk; `talk` puts the
questions to somebody, through an adapter: a terminal, a plain stream or a file of answers.
"""
