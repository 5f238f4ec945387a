"""OWASP Application Security Verification Standard 5.0.0, level 1: each point and what covers it.

Numbers and levels are those of the standard's own table (github.com/OWASP/ASVS, 5.0/docs_en,
…_5.0.0_en.csv); what each asks is told in our words. `by` names the tests that cover it, as
`file::test`; a point that does not apply has `why_not` instead.
"""

from dataclasses import dataclass
from typing import Final

LEVEL_1: Final = 70  # points of level 1 in that table


@dataclass(frozen=True)
class Point:
    """One requirement: its number, what it asks, and what covers it or why it does not apply."""

    number: str
    asks: str
    by: tuple[str, ...] = ()
    why_not: str = ""


SECURITY: Final = "pages/test_security.py::"
SIGN_IN: Final = "pages/test_sign_in.py::"
HOSTILE: Final = "pages/test_hostile_forms.py::"
BOMBS: Final = "pages/test_bombs.py::"
PATHS: Final = "pages/test_paths.py::"
ATTACK: Final = "browser/test_attack.py::"
LISTENING: Final = "test_listening.py::"
PRINTED: Final = "handouts/test_reads_nothing.py::"
LIMITS: Final = "plan/test_limits.py::"

_NO_TOKENS: Final = "No token here carries anything: a session is a random name, looked up."
_NO_OAUTH: Final = "Nobody signs in here by another service, nor elsewhere by this one."
_NO_ACCOUNTS: Final = "There is one passphrase and no account, no role: whoever is in may do all."

POINTS: Final = (
    # Encoding and sanitization
    Point("1.2.1", "What is shown is escaped for the place it is shown in.",
          (HOSTILE + "test_hostile_text_in_every_field_is_answered",
           PRINTED + "test_a_printed_sheet_reads_our_files_alone_and_links_nowhere")),
    Point("1.2.2", "Addresses are built from encoded parts and of safe kinds alone.",
          (SIGN_IN + "test_nobody_is_sent_elsewhere",
           PRINTED + "test_a_printed_sheet_reads_our_files_alone_and_links_nowhere")),
    Point("1.2.3", "What is put into script or JSON is escaped for it.",
          (SECURITY + "test_pages_hold_no_script_or_style_of_their_own",)),
    Point("1.2.4", "Databases are asked with parameters.",
          ("outside/test_asvs.py::test_no_query_is_made_of_text",)),
    Point("1.2.5", "No command of the system is made of what was typed.",
          ("outside/test_asvs.py::test_no_command_is_run_and_no_text_is_run_as_code",)),
    Point("1.3.1", "HTML that is typed is cleaned.", why_not="None is taken: text is text."),
    Point("1.3.2", "No text is run as code.",
          ("outside/test_asvs.py::test_no_command_is_run_and_no_text_is_run_as_code",)),
    Point("1.5.1", "XML is read without outside entities.",
          ("outside/test_asvs.py::test_nothing_reads_xml_or_pickles",)),
    # Validation
    Point("2.1.1", "It is written down what each entry must look like.",
          ("store/test_episode_file.py::test_the_schema_refuses_what_the_reader_refuses",)),
    Point("2.2.1", "Entries are checked against patterns, ranges and lists.",
          (LIMITS + "test_a_plan_holds_so_many_and_an_old_file_some_more",
           HOSTILE + "test_hostile_text_in_every_field_is_answered")),
    Point("2.2.2", "They are checked by the server, whatever the browser did.",
          (HOSTILE + "test_every_form_there_is_changes_nothing_but_its_own_episode",
           "outside/test_openapi.py::test_nothing_it_is_asked_is_a_fault_of_ours")),
    Point("2.3.1", "What goes in steps cannot be begun in the middle.",
          ("pages/test_outdated_pages.py::*", "pages/test_two_versions.py::*")),
    # The browser
    Point("3.2.1", "A file or answer is not shown as a page where it is none.",
          (SECURITY + "test_another_site_may_link_here_and_include_nothing",
           SECURITY + "test_every_answer_carries_them_and_allows_no_other_origin")),
    Point("3.2.2", "Text is put into the page as text by scripts, too.",
          ("outside/test_asvs.py::test_scripts_put_no_text_in_as_markup",)),
    Point("3.3.1", "Cookies are Secure and named so.",
          (SIGN_IN + "test_over_https_the_cookie_is_bound_to_it",)),
    Point("3.4.1", "HSTS for a year.", (SIGN_IN + "test_over_https_the_cookie_is_bound_to_it",)),
    Point("3.4.2", "No other origin is allowed to read.",
          (SECURITY + "test_every_answer_carries_them_and_allows_no_other_origin",)),
    Point("3.5.1", "A change comes from the app's own pages.",
          (SECURITY + "test_a_change_asked_for_by_another_site_is_refused",
           ATTACK + "test_a_page_elsewhere_reads_and_changes_nothing",
           ATTACK + "test_nor_does_it_when_someone_is_signed_in")),
    Point("3.5.2", "Where a preflight is relied on, it cannot be gone round.",
          (ATTACK + "test_a_page_elsewhere_reads_and_changes_nothing",)),
    Point("3.5.3", "Changes are made by POST, never by GET.",
          ("outside/test_asvs.py::test_asking_for_every_page_changes_nothing",)),
    # Web services
    Point("4.1.1", "Answers say what they are, text in which letters.",
          ("outside/test_asvs.py::test_asking_for_every_page_changes_nothing",)),
    Point("4.4.1", "WebSockets are encrypted.", (SECURITY + "test_there_is_no_socket_to_talk_to",)),
    # Files
    Point("5.2.1", "Files are taken up to a size that can be worked at.",
          (SECURITY + "test_a_body_beyond_the_limit_is_refused_before_it_is_read",
           BOMBS + "test_a_plan_that_only_takes_time_is_refused")),
    Point("5.2.2", "A file is what it says it is.",
          (BOMBS + "test_nothing_is_unpacked",
           "store/test_photos.py::test_whatever_is_sent_is_kept_clean_or_told_in_a_sentence")),
    Point("5.3.1", "What was sent is never run.",
          (BOMBS + "test_a_picture_takes_no_more_memory_than_its_pixels",
           "store/test_photos.py::test_what_hides_behind_a_picture_is_not_kept")),
    Point("5.3.2", "Files are named by the app, not by whoever sends them.",
          (PATHS + "test_a_name_leads_nowhere_else", PATHS + "test_a_title_is_no_name_of_a_file",
           "store/test_photos.py::test_only_the_name_of_a_picture_leads_to_a_file")),
    # Signing in
    Point("6.1.1", "It is written down how guessing is slowed and nobody locked out by it.",
          (SIGN_IN + "test_many_addresses_wait_together_but_never_long",
           SIGN_IN + "test_strangers_keep_nobody_out_where_she_was_let_in_before")),
    Point("6.2.1", "At least eight characters; we ask for twelve.",
          (SIGN_IN + "test_a_weak_one_is_refused_with_the_reason",)),
    Point("6.2.2", "It can be changed.", (SIGN_IN + "test_a_new_passphrase_ends_all_sessions",)),
    Point("6.2.3", "To change it one gives the one before.", why_not="It is set by a command on "
          "the machine that keeps the plans: whoever runs it can read them anyway."),
    Point("6.2.4", "The commonest are refused; of the usual lists few have twelve characters.",
          (SIGN_IN + "test_a_weak_one_is_refused_with_the_reason",)),
    Point("6.2.5", "Any characters will do.",
          (SIGN_IN + "test_letters_are_the_same_however_they_are_composed",)),
    Point("6.2.6", "It is not shown while it is typed.",
          (LISTENING + "test_at_a_terminal_it_is_typed_twice_and_not_shown",
           "outside/test_asvs.py::test_the_field_hides_it_and_may_be_filled_in_by_the_browser")),
    Point("6.2.7", "It may be pasted and kept by the browser.",
          ("outside/test_asvs.py::test_the_field_hides_it_and_may_be_filled_in_by_the_browser",)),
    Point("6.2.8", "It is compared as typed, in one form of Unicode (NIST SP 800-63B), uncut.",
          (SIGN_IN + "test_it_is_kept_as_a_salted_hash_that_its_owner_alone_may_read",)),
    Point("6.3.1", "Guessing is slowed as written down.",
          (SIGN_IN + "test_wrong_tries_wait_longer_and_longer",)),
    Point("6.3.2", "There is no account by default.",
          (LISTENING + "test_other_machines_are_let_in_by_a_passphrase_alone",)),
    Point("6.4.1", "What is given out first does not last.", why_not="None is given out."),
    Point("6.4.2", "There are no hints and no questions.",
          ("outside/test_asvs.py::test_the_field_hides_it_and_may_be_filled_in_by_the_browser",)),
    # Sessions
    Point("7.2.1", "Sessions are looked up by the server.",
          (SIGN_IN + "test_a_session_ends_unused_after_its_days_and_at_sign_out",)),
    Point("7.2.2", "Each has a name of its own.",
          (SIGN_IN + "test_its_cookie_is_for_the_browser_alone_and_its_name_is_kept_nowhere",)),
    Point("7.2.3", "The name is random and of 128 bits at least.",
          (SIGN_IN + "test_its_cookie_is_for_the_browser_alone_and_its_name_is_kept_nowhere",)),
    Point("7.2.4", "Signing in again ends the session before.",
          (SIGN_IN + "test_its_cookie_is_for_the_browser_alone_and_its_name_is_kept_nowhere",)),
    Point("7.4.1", "A session that has ended is of no more use.",
          (SIGN_IN + "test_a_session_ends_unused_after_its_days_and_at_sign_out",
           ATTACK + "test_nor_does_it_when_someone_is_signed_in")),
    Point("7.4.2", "Who is shut out is out at once.",
          (SIGN_IN + "test_a_new_passphrase_ends_all_sessions",)),
    # Who may do what
    Point("8.1.1", "It is written down who may do what.",
          (SIGN_IN + "test_every_page_and_file_asks_first",)),
    Point("8.2.1", "Nothing is done for whoever may not.",
          (SIGN_IN + "test_every_page_and_file_asks_first",)),
    Point("8.2.2", "Nothing is shown to whoever may not see it.",
          (SIGN_IN + "test_every_page_and_file_asks_first",)),
    Point("8.3.1", "That is seen to by the server.",
          (SIGN_IN + "test_every_page_and_file_asks_first",)),
    *(Point(number, "Tokens are checked.", why_not=_NO_TOKENS)
      for number in ("9.1.1", "9.1.2", "9.1.3", "9.2.1")),
    *(Point(number, "Signing in for other services is done soundly.", why_not=_NO_OAUTH)
      for number in ("10.4.1", "10.4.2", "10.4.3", "10.4.4", "10.4.5")),
    # Cryptography and TLS
    Point("11.3.1", "No weak modes.", why_not="Nothing is encrypted here but by TLS."),
    Point("11.3.2", "Approved ciphers alone.", why_not="Nothing is encrypted here but by TLS."),
    Point("11.4.1", "Approved hash functions alone.",
          ("outside/test_asvs.py::test_no_broken_hash_is_used",
           SIGN_IN + "test_the_hash_is_that_of_the_standard")),
    Point("12.1.1", "TLS 1.2 and 1.3 alone.",
          (LISTENING + "test_https_is_served_with_a_certificate",)),
    # Not met where it is started without a certificate, which --listen allows.
    Point("12.2.1", "With TLS nothing is told in clear text; without it, it is said at the start.",
          (LISTENING + "test_https_is_served_with_a_certificate",
           ATTACK + "test_nor_does_it_when_someone_is_signed_in")),
    Point("12.2.2", "Certificates are publicly trusted.",
          why_not="The certificate is of whoever runs it; README says which are trusted."),
    # The rest
    Point("13.4.1", "No source control is served.", (PATHS + "test_a_name_leads_nowhere_else",)),
    Point("14.2.1", "No secret stands in an address.",
          ("outside/test_asvs.py::test_the_field_hides_it_and_may_be_filled_in_by_the_browser",)),
    Point("14.3.1", "What was shown is gone with the session.",
          (SIGN_IN + "test_the_browser_keeps_nothing_that_outlives_the_session",
           SIGN_IN + "test_over_https_the_cookie_is_bound_to_it",
           ATTACK + "test_nor_does_it_when_someone_is_signed_in")),
    Point("15.1.1", "It is written down how soon libraries are renewed.",
          why_not="A rule of whoever runs it: pip installs the newest that fit pyproject.toml."),
    Point("15.2.1", "No library is older than that.", why_not="As 15.1.1."),
    Point("15.3.1", "Only what is asked for is sent.",
          why_not=_NO_ACCOUNTS),
)  # fmt: skip
