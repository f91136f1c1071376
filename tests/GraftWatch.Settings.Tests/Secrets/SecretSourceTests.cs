using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Secrets;

namespace GraftWatch.Settings.Tests.Secrets;

public sealed class SecretSourceTests : IDisposable
{
    private static readonly MailSettings Mail = new() { Host = "mail.example.org", Port = 587, Security = MailSecurity.StartTls, From = "gw@example.org", User = "gw" };

    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-").FullName;
    private readonly Dictionary<string, string> environment = [];

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void The_environment_comes_first_then_the_file_then_the_credential()
    {
        File.WriteAllText(Path.Combine(folder, "graftwatch-mail-password"), "from credential\n");
        File.WriteAllText(Path.Combine(folder, "file"), "from file\r\n");
        environment["CREDENTIALS_DIRECTORY"] = folder;

        Assert.Equal("from credential", Find(Mail).Value);
        MailSettings withFile = Mail with { PasswordFile = Path.Combine(folder, "file") };
        Assert.Equal("from file", Find(withFile).Value);
        environment[SecretSource.MailPasswordVariable] = "from environment";
        Assert.Equal("from environment", Find(withFile).Value);
    }

    [Fact]
    public void A_password_that_is_nowhere_names_the_three_places_for_it() =>
        Assert.Equal(
            "There is no mail password. Set GRAFTWATCH_MAIL_PASSWORD, name a file in mail.password_file, or hand over the credential graftwatch-mail-password.",
            Find(Mail).Trouble);

    [Theory]
    [InlineData("")]
    [InlineData("\n")]
    [InlineData("two\nlines\n")]
    public void A_file_that_holds_no_one_line_is_not_taken(string content)
    {
        File.WriteAllText(Path.Combine(folder, "file"), content);

        Secret secret = Find(Mail with { PasswordFile = Path.Combine(folder, "file") });

        Assert.Null(secret.Value);
        Assert.Contains("does not hold one password on one line", secret.Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public void A_file_that_cannot_be_read_is_trouble_and_not_an_exception() =>
        Assert.Contains("cannot be read", Find(Mail with { PasswordFile = Path.Combine(folder, "absent") }).Trouble, StringComparison.Ordinal);

    [Fact]
    public void A_server_without_sign_in_needs_none() => Assert.Null(Find(Mail with { User = null }).Trouble);

    [Fact]
    public void The_weather_key_may_be_absent()
    {
        Assert.Null(SecretSource.FindWeatherKey(environment.GetValueOrDefault).Trouble);
        environment[SecretSource.WeatherKeyVariable] = "k";
        Assert.Equal("k", SecretSource.FindWeatherKey(environment.GetValueOrDefault).Value);
    }

    [Fact]
    public void A_secret_never_shows_its_value_as_text()
    {
        environment[SecretSource.MailPasswordVariable] = "hunter2";

        Assert.DoesNotContain("hunter2", Find(Mail).ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain("hunter2", $"{Find(Mail)}", StringComparison.Ordinal);
    }

    private Secret Find(MailSettings mail) => SecretSource.FindMailPassword(mail, environment.GetValueOrDefault);
}
