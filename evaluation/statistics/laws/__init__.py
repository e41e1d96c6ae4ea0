"""Laws that several families of questions rest on: exact tails, intervals, signs and labels exchanged."""
